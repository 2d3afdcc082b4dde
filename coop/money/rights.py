"""Who may do what with money.

A household's figures are its own business, the treasurer's and the coordinators'. What belongs to
a buy is everybody's.
"""

from __future__ import annotations

from coop.money.models import Account, Entry, Payment
from coop.people.models import Household, Member

TREASURER_ONLY = "Only the treasurer can do this. Ask them to."
BOOKS_ARE_KEPT = "Only the treasurer and the coordinators see what every household owes."
PAYER_ONLY = "Only the household that pays can say that it has paid, or the treasurer for it."
PAYEE_ONLY = "Only who gets the money can confirm it: the household, or the treasurer for the till."


def can_keep_books(member: Member) -> bool:
    """Take money in and out of the till, square up, reverse an entry."""
    return member.treasurer


def can_see_books(member: Member) -> bool:
    """See what every household owes and is owed, and every entry."""
    return member.treasurer or member.coordinator


def can_see_statement(member: Member, household: Household) -> bool:
    """See a household's account line by line."""
    return member.household_id == household.pk or can_see_books(member)


def can_see_entry(member: Member, entry: Entry) -> bool:
    """See an entry: one's own, and whatever belongs to a buy."""
    if can_see_books(member):
        return True
    sides = [side for each in entry.movements.all() for side in (each.source, each.target)]
    return any(
        side.kind == Account.Kind.BUY or side.household_id == member.household_id for side in sides
    )


def can_mark_paid(member: Member, payment: Payment) -> bool:
    """Say that a payment was made, or take that back."""
    return _is_for(member, payment.payer)


def can_confirm(member: Member, payment: Payment) -> bool:
    """Say that a payment arrived."""
    return _is_for(member, payment.payee)


def can_see_payment(member: Member, payment: Payment) -> bool:
    """See a payment of a round: who pays it, who gets it, and who sees the books."""
    sides = (payment.payer.household_id, payment.payee.household_id)
    return can_see_books(member) or member.household_id in sides


def _is_for(member: Member, account: Account) -> bool:
    """The household's own members; the treasurer for the till and for who has no phone."""
    return account.household_id == member.household_id or member.treasurer
