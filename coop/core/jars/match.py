"""Who lends which empty jars to whom."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

from coop.core.jars.flows import least_travel, most_jars, travel_of
from coop.core.jars.problem import Pair, Problem, of_kind, only
from coop.core.jars.rounds import Budget, Round, fewest_lenders, nearest_lenders

MOST = 1_000_000  # jars of one household and kind, and minutes of one way: sums stay in 64 bits

H = TypeVar("H", str, int)
K = TypeVar("K", str, int)
Counts = Mapping[H, Mapping[K, int]]


class Move(NamedTuple, Generic[H, K]):
    """Jars of one kind that one household lends to another; at least one jar."""

    lender: H
    borrower: H
    kind: K
    jars: int


@dataclass(frozen=True)
class JarMatch(Generic[H, K]):
    """Who lends what to whom, and what it comes to.

    Parameters:
        moves: sorted by lender, borrower and kind.
        unmet: jars that a household still needs, by household and kind; only what is above 0.
        households_visited: lenders that give something.
        travel: minutes times jars, over all moves.
        proven: whether nothing better can be; if not, time ran out with a good match in hand.
    """

    moves: tuple[Move[H, K], ...]
    unmet: dict[H, dict[K, int]]
    households_visited: int
    travel: int
    proven: bool


def match_spares(
    needs: Counts[H, K],
    spares: Counts[H, K],
    minutes_apart: Mapping[tuple[H, H], int],
    *,
    seconds: float = 10.0,
) -> JarMatch[H, K]:
    """Lend spare jars to those who need them: the most jars, the fewest visits, the least travel.

    Parameters:
        needs, spares: jars by household and kind, 0 to MOST each. Households are names or numbers,
            and so are kinds. A household may need one kind and spare another, or the same one.
        minutes_apart: the way between two households, 0 to MOST, under (a, b) or (b, a). A pair
            that is not there cannot lend to one another. Nobody lends to themselves.
        seconds: time for the search, above 0 (default 10).

    Returns: a match in which, in this order, the most jars are lent in all; the fewest households
    are visited for them; and the minutes times jars are the fewest. Among matches that are
    equal in all three the solver's choice is fixed: the same needs, spares and minutes give the
    same match, in whatever order they are listed. Where time runs out (`proven` is False) as many
    jars are lent all the same, and the visits or the travel may not be the fewest.

    Raises: ValueError, naming the household, if a count or a way is out of its bounds, or if the
    two ways round differ.

    Source: flows for each kind (see `flows`); the two later aims as integer programmes, each
    holding the aims before it, solved by OR-Tools CP-SAT.

    >>> match = match_spares(
    ...     {"Ames": {"quart": 10}},
    ...     {"Boone": {"quart": 6}, "Cole": {"quart": 12, "pint": 5}},
    ...     {("Ames", "Boone"): 5, ("Ames", "Cole"): 20},
    ... )
    >>> match.moves
    (Move(lender='Cole', borrower='Ames', kind='quart', jars=10),)
    >>> match.unmet, match.households_visited, match.travel, match.proven
    ({}, 1, 200, True)
    """
    for what, counts in (("needs", needs), ("spares", spares)):
        _check_counts(what, counts)
    households: list[H] = sorted(set(needs) | set(spares))
    kinds: list[K] = sorted(
        {kind for counts in (needs, spares) for own in counts.values() for kind in own}
    )
    ways = _ways(minutes_apart, {name: place for place, name in enumerate(households)})
    of_kinds = tuple(
        of_kind(_of(kind, needs, households), _of(kind, spares, households), ways) for kind in kinds
    )
    problem = Problem(of_kinds, tuple(most_jars(kind).jars for kind in of_kinds))
    chosen = _choose(problem, seconds)
    best = [least_travel(only(chosen.lenders, kind)) for kind in of_kinds]
    moves = _moves(households, kinds, best)
    return JarMatch(
        tuple(moves),
        _unmet(needs, moves),
        len({move.lender for move in moves}),
        sum(travel_of(kind, jars) for kind, jars in zip(of_kinds, best, strict=True)),
        chosen.proven,
    )


def _moves(
    households: Sequence[H], kinds: Sequence[K], best: Sequence[Mapping[tuple[int, int], int]]
) -> list[Move[H, K]]:
    """The jars of each kind that go from one place of the list of households to another."""
    return sorted(
        Move(households[lender], households[borrower], kind, count)
        for kind, jars in zip(kinds, best, strict=True)
        for (lender, borrower), count in jars.items()
    )


def _choose(problem: Problem, seconds: float) -> Round:
    budget = Budget(seconds)
    fewest = fewest_lenders(problem, budget)
    nearest = nearest_lenders(problem, fewest, budget)
    return Round(nearest.lenders, fewest.proven and nearest.proven)


def _of(kind: K, counts: Counts[H, K], households: list[H]) -> dict[int, int]:
    """Jars of one kind by the household's place, only what is above 0."""
    jars = {place: counts.get(name, {}).get(kind, 0) for place, name in enumerate(households)}
    return {place: count for place, count in jars.items() if count}


def _ways(minutes_apart: Mapping[tuple[H, H], int], places: Mapping[H, int]) -> dict[Pair, int]:
    """Minutes by the places of the two households, both ways round; strangers are left out."""
    ways: dict[Pair, int] = {}
    for (one, other), minutes in minutes_apart.items():
        _check(f"The minutes between {one} and {other}", minutes)
        if minutes_apart.get((other, one), minutes) != minutes:
            raise ValueError(f"The minutes between {one} and {other} differ with the way round.")
        if one in places and other in places:
            ways[places[one], places[other]] = ways[places[other], places[one]] = minutes
    return ways


def _unmet(needs: Counts[H, K], moves: list[Move[H, K]]) -> dict[H, dict[K, int]]:
    got: dict[tuple[H, K], int] = {}
    for move in moves:
        where = move.borrower, move.kind
        got[where] = got.get(where, 0) + move.jars
    left = {
        name: {
            kind: own[kind] - got.get((name, kind), 0)
            for kind in sorted(own)
            if own[kind] > got.get((name, kind), 0)
        }
        for name, own in sorted(needs.items())
    }
    return {name: short for name, short in left.items() if short}


def _check_counts(what: str, counts: Counts[H, K]) -> None:
    for household, own in counts.items():
        for kind, count in own.items():
            _check(f"What {household} {what} of {kind}", count)


def _check(what: str, value: int) -> None:
    if not isinstance(value, int):
        raise ValueError(f"{what} is {value!r}: not a whole number.")
    if not 0 <= value <= MOST:
        raise ValueError(f"{what} is {value}: it must be from 0 to {MOST}.")
