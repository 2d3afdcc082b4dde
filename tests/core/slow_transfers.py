"""Fewest payments the slow, obvious way, and a checker that judges payments however found."""

from collections.abc import Mapping, Sequence
from itertools import combinations

from coop.core.transfers import Transfers


def most_groups_by_trying(cents: Sequence[int]) -> int:
    """Try every group for the first balance, then the same with what is left."""
    if not cents:
        return 0
    first, rest = cents[0], list(cents[1:])
    best = 0
    for size in range(len(rest) + 1):
        for others in combinations(range(len(rest)), size):
            if first + sum(rest[place] for place in others) == 0:
                left = [amount for place, amount in enumerate(rest) if place not in others]
                best = max(best, 1 + most_groups_by_trying(left))
    return best


def slow_fewest(balances: Mapping[str, int]) -> int:
    """The number of payments that must be made."""
    open_cents = [cents for cents in balances.values() if cents]
    return len(open_cents) - most_groups_by_trying(open_cents)


def check_transfers(balances: Mapping[str, int], transfers: Transfers) -> None:
    """Fail unless the payments settle everybody, each in one direction, in the stated order."""
    left = dict(balances)
    for payer, payee, cents in transfers.payments:
        assert cents > 0
        assert balances[payer] < 0 < balances[payee]
        left[payer] += cents
        left[payee] -= cents
    assert not any(left.values())
    open_balances = sum(cents != 0 for cents in balances.values())
    assert len(transfers.payments) <= max(0, open_balances - 1)
    couples = [(payment.payer, payment.payee) for payment in transfers.payments]
    assert couples == sorted(set(couples))
