"""Payments that bring every balance to zero."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from coop.core.transfers.groups import MOST_EXACT, Group, most_groups, pairs
from coop.core.transfers.many import groups_at_most, many_groups


class Payment(NamedTuple):
    """One payment: who pays whom how many cents, always above 0."""

    payer: str
    payee: str
    cents: int


@dataclass(frozen=True)
class Transfers:
    """Payments in order of payer, then payee, and whether no smaller number of them would do."""

    payments: list[Payment]
    proven_fewest: bool


class Unbalanced(ValueError):
    """The balances do not add up to zero; `off_by_cents` is what they add up to."""

    def __init__(self, off_by_cents: int) -> None:
        self.off_by_cents = off_by_cents
        off_by = f"{abs(off_by_cents)} cent{'' if abs(off_by_cents) == 1 else 's'}"
        more = "owed than owing" if off_by_cents > 0 else "owing than owed"
        super().__init__(f"The balances do not add up to zero: {off_by} more {more}.")


def fewest_transfers(balances: Mapping[str, int]) -> Transfers:
    """The fewest payments after which nobody owes and nobody is owed.

    Parameters:
        balances: whole cents for each name, of any size; above 0 is owed to them, below 0 they
            owe. They add up to 0. Names at 0 take no part.

    Returns: payments in order of payer, then payee. Who owes only pays and who is owed only
    receives, so the money moved is the least possible too. `proven_fewest` is True up to
    MOST_EXACT open balances (after those that cancel in pairs), and past that where a simple bound
    shows it. The answer does not depend on the order of the mapping.

    Raises: Unbalanced if the balances do not add up to 0, ValueError for one not in whole cents.

    Source: n open balances need n payments less the largest number of groups that add up to 0
    (T. Verhoeff, "Settling multiple debts efficiently: an invitation to computing science",
    Informatics in Education 3, 2004, 105-126).

    >>> fewest_transfers({"Ash": 700, "Birch": -300, "Cedar": -400, "Elm": 250, "Fir": -250})
    Transfers(payments=[Payment(payer='Birch', payee='Ash', cents=300), \
Payment(payer='Cedar', payee='Ash', cents=400), Payment(payer='Fir', payee='Elm', cents=250)], \
proven_fewest=True)
    >>> fewest_transfers({"Ash": 700, "Birch": -650})
    Traceback (most recent call last):
    ...
    coop.core.transfers.settle.Unbalanced: The balances do not add up to zero: \
50 cents more owed than owing.
    """
    _check(balances)
    names = sorted(name for name, cents in balances.items() if cents)
    cents = [balances[name] for name in names]
    couples, left = pairs(cents)
    rest = [cents[place] for place in left]
    small = len(rest) <= MOST_EXACT
    groups = most_groups(rest) if small else many_groups(rest)
    whole = couples + [[left[place] for place in group] for group in groups]
    payments = [payment for group in whole for payment in _settle(group, names, cents)]
    fewest = len(names) - len(couples) - groups_at_most(rest)
    return Transfers(sorted(payments), small or len(payments) == fewest)


def _check(balances: Mapping[str, int]) -> None:
    for name, cents in balances.items():
        if not isinstance(cents, int):
            raise ValueError(f"Balance of {name}: {cents!r} is not in whole cents.")
    if off_by_cents := sum(balances.values()):
        raise Unbalanced(off_by_cents)


def _settle(group: Group, names: Sequence[str], cents: Sequence[int]) -> list[Payment]:
    """Pay off a group, the largest debt to the largest credit, in one payment less than it has."""
    by_size = sorted(group, key=lambda place: (-abs(cents[place]), place))
    payers = [place for place in by_size if cents[place] < 0]
    payees = [place for place in by_size if cents[place] > 0]
    open_cents = {place: abs(cents[place]) for place in group}
    payments = []
    while payers:
        payer, payee = payers[0], payees[0]
        paid = min(open_cents[payer], open_cents[payee])
        payments.append(Payment(names[payer], names[payee], paid))
        open_cents[payer] -= paid
        open_cents[payee] -= paid
        payers = payers if open_cents[payer] else payers[1:]
        payees = payees if open_cents[payee] else payees[1:]
    return payments
