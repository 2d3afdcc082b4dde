"""Money into the till and out of it."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from coop.core.figures import money
from coop.money import rights
from coop.money.actions.accounts import open_household_account, open_till
from coop.money.actions.entries import Flow, post_entry
from coop.money.errors import Refused
from coop.money.locks import lock_books
from coop.money.models import Entry
from coop.money.queries.till import till_cash_cents
from coop.people.models import Household, Member
from coop.people.rights import require


def pay_in(
    household: Household, cents: int, *, by: Member, note: str = "", once: UUID | None = None
) -> Entry:
    """A household puts money into the till; the treasurer has it. Raises NotAllowed, Refused."""
    require(rights.can_keep_books(by), rights.TREASURER_ONLY)
    _refuse_nothing(cents)
    return post_entry(
        household.coop,
        Entry.Kind.PAID_IN,
        [Flow(open_household_account(household), open_till(household.coop), cents)],
        title=f"{household.name} paid in",
        by=by,
        note=note,
        once=once,
    )


def pay_out(
    household: Household, cents: int, *, by: Member, note: str = "", once: UUID | None = None
) -> Entry:
    """The till pays a household, never more than it holds. Raises NotAllowed, Refused."""
    require(rights.can_keep_books(by), rights.TREASURER_ONLY)
    _refuse_nothing(cents)
    coop = household.coop
    with transaction.atomic():
        lock_books(coop.pk)
        held_cents = till_cash_cents(coop)
        if cents > held_cents:
            raise Refused(
                f"The till holds {money(held_cents, coop.currency)}; it cannot pay out "
                f"{money(cents, coop.currency)}.",
                field="cents",
            )
        return post_entry(
            coop,
            Entry.Kind.PAID_OUT,
            [Flow(open_till(coop), open_household_account(household), cents)],
            title=f"Paid out to {household.name}",
            by=by,
            note=note,
            once=once,
        )


def _refuse_nothing(cents: int) -> None:
    if cents <= 0:
        raise Refused("Say how much, above zero.", field="cents")
