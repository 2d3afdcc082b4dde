"""Sharing a cost the slow, obvious way: the Shapley value over every order of arrival."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import permutations

Game = Callable[[frozenset[int]], Fraction]


def shapley(players: int, worth: Game) -> list[Fraction]:
    """What each player adds on arrival, averaged over all orders. Whole for up to 7 players."""
    orders = list(permutations(range(players)))
    added = [Fraction(0)] * players
    for order in orders:
        for seat, player in enumerate(order):
            before = frozenset(order[:seat])
            added[player] += worth(before | {player}) - worth(before)
    return [each / len(orders) for each in added]


def slow_trip_shares(costs: Sequence[int | Fraction]) -> list[Fraction]:
    """The airport game: a group costs what its dearest member costs."""
    return shapley(
        len(costs), lambda group: Fraction(max((costs[each] for each in group), default=0))
    )


def check_shares(cents: int, weights: Sequence[int | Fraction], shares: Sequence[int]) -> None:
    """Fail unless the shares add up, and each is its exact part rounded down or up."""
    assert sum(shares) == cents
    assert len(shares) == len(weights)
    for share, weight in zip(shares, weights, strict=True):
        if cents:
            assert abs(share - Fraction(cents * weight, 1) / sum(weights)) < 1
        if not weight:
            assert share == 0
