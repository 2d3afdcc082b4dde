"""Matches of jars against HiGHS through SciPy, and against transport problems from print."""

from itertools import combinations

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from coop.core.jars import match_spares
from tests.core.slow_jars import (
    Counts,
    Minutes,
    arcs_of,
    check_match,
    jars_lent,
    made_up,
    way,
)


def aims_by_highs(needs: Counts, spares: Counts, minutes: Minutes) -> tuple[int, int, int]:
    """Jars, visits and travel one after another, each stage holding those before it."""
    arcs, lenders = arcs_of(needs, spares, minutes), sorted(spares)
    one = np.eye(len(arcs) + len(lenders))  # columns: jars on each way, visit of each lender
    jars, visits = one[: len(arcs)].sum(axis=0), one[len(arcs) :].sum(axis=0)
    travel = np.array([way(minutes, a, b) for a, b, _ in arcs] + [0] * len(lenders), float)
    rows: list[tuple[np.ndarray, float, float]] = []
    for name, side, counts in ((0, 0, spares), (1, 1, needs)):
        for who, kind in {(arc[name], arc[2]) for arc in arcs}:
            row = sum(one[n] for n, arc in enumerate(arcs) if (arc[side], arc[2]) == (who, kind))
            rows.append((row, 0, counts[who][kind]))
            if counts is spares:
                visit = one[len(arcs) + lenders.index(who)]
                rows.append((row - spares[who][kind] * visit, -np.inf, 0))
    found = []
    for aim, sign in ((jars, -1), (visits, 1), (travel, 1)):
        best = round(solved(sign * aim, rows, len(arcs), len(lenders)))
        rows.append((aim, sign * best, sign * best))
        found.append(sign * best)
    return found[0], found[1], found[2]


def solved(aim: np.ndarray, rows: list, ways: int, lenders: int) -> float:
    if not ways:
        return 0
    matrix, low, high = (np.array(column) for column in zip(*rows, strict=True))
    answer = milp(
        aim,
        constraints=LinearConstraint(matrix, low, high),
        bounds=Bounds(0, np.array([np.inf] * ways + [1] * lenders)),
        integrality=np.ones(ways + lenders),
        options={"mip_rel_gap": 0},
    )
    assert answer.status == 0, answer.message
    return answer.fun


@pytest.mark.parametrize("known", [0.4, 1.0])
@pytest.mark.parametrize("seed", range(12))
def test_each_aim_is_what_a_general_solver_reaches(seed, known):
    case = made_up(seed, households=4 + seed, kinds=1 + seed % 4, known=known)
    match = match_spares(*case)
    assert match.proven
    check_match(match, *case)
    assert (jars_lent(match), match.households_visited, match.travel) == aims_by_highs(*case)


def transport(costs: list[list[int | None]], supply: list[int], demand: list[int]):
    """A transport problem from print as jars: sources lend, "-" is a pair without a way."""
    return match_spares(
        {f"to {place}": {"jar": jars} for place, jars in enumerate(demand)},
        {f"from {place}": {"jar": jars} for place, jars in enumerate(supply)},
        {
            (f"from {a}", f"to {b}"): cost
            for a, row in enumerate(costs)
            for b, cost in enumerate(row)
            if cost is not None
        },
    )


def test_powerco():
    """W. L. Winston, "Operations Research": three plants, four cities, optimum 1020, one plan."""
    costs = [[8, 6, 10, 9], [9, 12, 13, 7], [14, 9, 16, 5]]
    match = transport(costs, [35, 50, 40], [45, 20, 30, 30])
    assert (match.travel, match.households_visited, match.unmet) == (1020, 3, {})
    assert [move.jars for move in match.moves] == [10, 25, 45, 5, 10, 30]


def test_seattle_and_san_diego():
    """G. B. Dantzig, "Linear Programming and Extensions", 1963, 3.3; R. E. Rosenthal's tutorial.

    Thousands of dollars, optimum 153.675; here in dollars. The plants are both needed.
    """
    costs = [[225, 153, 162], [225, 162, 126]]
    match = transport(costs, [350, 600], [325, 300, 275])
    assert (match.travel, match.unmet) == (153_675, {})


def test_three_machines_and_four_places():
    """F. S. Hillier and G. J. Lieberman, "Introduction to Operations Research": optimum 29.

    The assignment of the Job Shop Co.; its second machine cannot stand in the second place.
    """
    costs = [[13, 16, 12, 11], [15, None, 13, 20], [5, 7, 10, 6]]
    match = transport(costs, [1, 1, 1], [1, 1, 1, 1])
    assert match.travel == 29
    chosen = [(move.lender, move.borrower) for move in match.moves]
    assert chosen == [("from 0", "to 3"), ("from 1", "to 2"), ("from 2", "to 0")]


@pytest.mark.parametrize("seed", range(5))
def test_where_all_must_be_visited_the_travel_is_that_of_network_simplex(seed):
    """With as many spares as needs everybody is visited, and only the transport is left."""
    needs, spares, _ = made_up(seed, households=14, kinds=1)
    needs = {f"to {name}": {"jar": own["kind 00"]} for name, own in needs.items()}
    spares = {name: {"jar": own["kind 00"]} for name, own in spares.items()}
    gap = sum(own["jar"] for own in needs.values()) - sum(own["jar"] for own in spares.values())
    (spares if gap > 0 else needs)["the rest"] = {"jar": abs(gap)}
    minutes = {
        pair: 1 + (17 * place + seed) % 59
        for place, pair in enumerate(combinations([*needs, *spares], 2))
    }
    graph = nx.DiGraph()
    for lender, own in spares.items():
        graph.add_node(("lends", lender), demand=-own["jar"])
    for borrower, own in needs.items():
        graph.add_node(("borrows", borrower), demand=own["jar"])
    for lender, borrower, _ in arcs_of(needs, spares, minutes):
        weight = way(minutes, lender, borrower)
        graph.add_edge(("lends", lender), ("borrows", borrower), weight=weight)
    assert match_spares(needs, spares, minutes).travel == nx.network_simplex(graph)[0]
