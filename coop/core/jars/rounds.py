"""Whom to visit: the fewest lenders that meet as many needs, then those with the least travel."""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from coop.core.jars.flows import least_travel, most_jars, travel_of
from coop.core.jars.problem import Problem, only

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass
class Budget:
    """Seconds that are left for all stages together, as the solver's own clock counts them."""

    seconds: float

    def solve(self, model: "cp_model.CpModel") -> "tuple[cp_model.CpSolver, str]":
        """Solve within what is left; the solver, and the name of its status."""
        from ortools.sat.python import cp_model

        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1  # two workers race, and the answer is that of the faster
        solver.parameters.random_seed = 1
        solver.parameters.max_time_in_seconds = max(0.0, self.seconds)
        status = solver.solve(model)
        self.seconds -= solver.wall_time
        return solver, solver.status_name(status)


@dataclass(frozen=True)
class Round:
    """Lenders to visit, and whether no better ones can be."""

    lenders: frozenset[int]
    proven: bool


@dataclass
class Choice:
    """A model with one yes or no for each lender, and what it takes to meet as many needs.

    For any set of borrowers, what a kind can give is at most their needs, and from each lender
    visited the lesser of its spare and of the other needs that it can reach. Where lenders fail
    to meet as many needs, the set on the near side of their narrowest cut says so: such a
    demand is added, and the choice made again (J. F. Benders, "Partitioning procedures for
    solving mixed-variables programming problems", Numerische Mathematik 4, 1962; from memory).
    """

    problem: Problem
    model: "cp_model.CpModel" = field(init=False)
    visited: "dict[int, cp_model.IntVar]" = field(init=False)

    def __post_init__(self) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self.visited = {
            lender: self.model.new_bool_var(f"visit {lender}") for lender in self.problem.lenders()
        }
        for place in range(len(self.problem.kinds)):
            self.demand(place, frozenset())

    def demand(self, place: int, near: frozenset[int]) -> None:
        """Ask of the lenders what a kind needs beyond the needs of the borrowers in `near`."""
        kind = self.problem.kinds[place]
        reach: dict[int, int] = {}
        for lender, borrower in kind.minutes:
            if borrower not in near:
                reach[lender] = reach.get(lender, 0) + kind.needs[borrower]
        given = sum(
            min(kind.spares[lender], needs) * self.visited[lender]
            for lender, needs in reach.items()
        )
        wanted = self.problem.most[place] - sum(kind.needs[borrower] for borrower in near)
        if wanted > 0:
            self.model.add(given >= wanted)

    def lacking(self, lenders: Collection[int]) -> list[tuple[int, frozenset[int]]]:
        """The kinds that these lenders do not meet as far as can be, each with a narrowest cut."""
        found = [most_jars(only(lenders, kind)) for kind in self.problem.kinds]
        return [
            (place, each.near)
            for place, each in enumerate(found)
            if each.jars < self.problem.most[place]
        ]


def fewest_lenders(problem: Problem, budget: Budget) -> Round:
    """The smallest set of lenders that meets as many needs as all of them together."""
    choice = Choice(problem)
    choice.model.minimize(sum(choice.visited.values()))
    while choice.visited and budget.seconds > 0:
        solver, status = budget.solve(choice.model)
        if status not in {"OPTIMAL", "FEASIBLE"}:
            break
        lenders = frozenset(who for who, yes in choice.visited.items() if solver.value(yes))
        lacking = choice.lacking(lenders)
        if not lacking:
            return Round(lenders, status == "OPTIMAL")
        for place, near in lacking:
            choice.demand(place, near)
    return Round(frozenset(choice.visited), proven=not choice.visited)


def nearest_lenders(problem: Problem, fewest: Round, budget: Budget) -> Round:
    """As many lenders as in `fewest`, with the least travel for as many jars.

    Returns: `fewest` itself, unproven, where no better set was found in time.
    """
    if _travel(problem, fewest.lenders) == _travel(problem, problem.lenders()):
        return Round(fewest.lenders, proven=True)
    choice = Choice(problem)
    model, visited = choice.model, choice.visited
    model.add(sum(visited.values()) == len(fewest.lenders))
    travel = [_add_moves(choice, place, fewest) for place in range(len(problem.kinds))]
    for lender, yes in visited.items():
        model.add_hint(yes, lender in fewest.lenders)
    model.minimize(sum(travel))
    solver, status = budget.solve(model)
    if status not in {"OPTIMAL", "FEASIBLE"}:
        return Round(fewest.lenders, proven=False)
    lenders = frozenset(who for who, yes in visited.items() if solver.value(yes))
    return Round(lenders, status == "OPTIMAL")


def _travel(problem: Problem, lenders: Collection[int]) -> int:
    kinds = [only(lenders, kind) for kind in problem.kinds]
    return sum(travel_of(kind, least_travel(kind)) for kind in kinds)


def _add_moves(choice: Choice, place: int, hint: Round) -> "cp_model.LinearExprT":
    """The moves of one kind, hinted by the best ones of `hint`; what they travel in all."""
    model, kind = choice.model, choice.problem.kinds[place]
    likely = least_travel(only(hint.lenders, kind))
    moves = {}
    for pair in kind.minutes:
        moves[pair] = model.new_int_var(0, kind.most_over(pair), f"{pair} of {place}")
        model.add(moves[pair] <= kind.most_over(pair) * choice.visited[pair[0]])
        model.add_hint(moves[pair], likely.get(pair, 0))
    for lender in {pair[0] for pair in moves}:
        lent = sum(move for pair, move in moves.items() if pair[0] == lender)
        model.add(lent <= kind.spares[lender] * choice.visited[lender])
    for borrower in {pair[1] for pair in moves}:
        got = sum(move for pair, move in moves.items() if pair[1] == borrower)
        model.add(got <= kind.needs[borrower])
    model.add(sum(moves.values()) == choice.problem.most[place])
    return sum(kind.minutes[pair] * move for pair, move in moves.items())
