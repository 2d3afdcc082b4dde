"""One kind of jar as a flow from lenders to borrowers: the most jars, and the least travel.

Source: R. K. Ahuja, T. L. Magnanti and J. B. Orlin, "Network Flows", Prentice Hall, 1993, chapters
6 (maximum flow, minimum cut) and 9 (minimum cost); from memory. OR-Tools does both in integers.
The solver is imported where it is used: it takes half a second and few pages need it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from coop.core.jars.problem import OfKind, Pair

SOURCE, SINK = 0, 1


@dataclass(frozen=True)
class MostJars:
    """The most jars that can be lent, and the borrowers on the near side of a narrowest cut."""

    jars: int
    near: frozenset[int]


def most_jars(kind: OfKind) -> MostJars:
    """How many jars of one kind can be lent in all, and what stands in the way of more.

    Returns: with the number the borrowers whose needs are met in full in any such lending; all
    others could still be lent to, had their lenders more to spare.
    """
    from ortools.graph.python import max_flow

    solver = max_flow.SimpleMaxFlow()
    for lender, spare in kind.spares.items():
        solver.add_arc_with_capacity(SOURCE, _lending(lender), spare)
    for borrower, need in kind.needs.items():
        solver.add_arc_with_capacity(_borrowing(borrower), SINK, need)
    for pair in kind.minutes:
        # As wide as the spare: a cut never goes through the middle.
        solver.add_arc_with_capacity(_lending(pair[0]), _borrowing(pair[1]), kind.spares[pair[0]])
    if not kind.minutes:
        return MostJars(0, frozenset())
    _sure(solver.solve(SOURCE, SINK) == solver.OPTIMAL)
    near = set(solver.get_source_side_min_cut())
    return MostJars(
        solver.optimal_flow(), frozenset(b for b in kind.needs if _borrowing(b) in near)
    )


def least_travel(kind: OfKind) -> dict[Pair, int]:
    """The most jars lent with the fewest minutes times jars: jars by lender and borrower."""
    from ortools.graph.python import min_cost_flow

    solver = min_cost_flow.SimpleMinCostFlow()
    for lender, spare in kind.spares.items():
        solver.set_node_supply(_lending(lender), spare)
    for borrower, need in kind.needs.items():
        solver.set_node_supply(_borrowing(borrower), -need)
    arcs = {
        pair: solver.add_arc_with_capacity_and_unit_cost(
            _lending(pair[0]), _borrowing(pair[1]), kind.most_over(pair), minutes
        )
        for pair, minutes in kind.minutes.items()
    }
    if not arcs:
        return {}
    _sure(solver.solve_max_flow_with_min_cost() == solver.OPTIMAL)
    return {pair: solver.flow(arc) for pair, arc in arcs.items() if solver.flow(arc)}


def travel_of(kind: OfKind, jars: Mapping[Pair, int]) -> int:
    """Minutes times jars."""
    return sum(kind.minutes[pair] * count for pair, count in jars.items())


def _lending(household: int) -> int:
    return 2 * household + 2


def _borrowing(household: int) -> int:
    return 2 * household + 3


def _sure(solved: bool) -> None:
    if not solved:
        raise RuntimeError("A flow of jars was not solved, whatever its numbers.")
