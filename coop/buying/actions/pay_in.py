"""Money that households put into the till for a buy: before the call-in, and at the pickup."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from coop.buying import rights
from coop.buying.actions.books import account_of, post_payment
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused
from coop.buying.models import Buy, BuyPayment
from coop.buying.queries.buys import lock_buy
from coop.core.figures import money
from coop.money.actions.accounts import open_till
from coop.money.actions.entries import Flow
from coop.money.models import Entry
from coop.people.changes import record_change
from coop.people.models import Household, Member

BEFORE = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN)
AT_PICKUP = (Buy.Stage.COLLECTED, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)


def prepay(
    buy: Buy,
    household: Household,
    cents: int,
    *,
    by: Member,
    taken_by: Member | None = None,
    once: UUID | None = None,
) -> BuyPayment:
    """A household pays ahead for a buy. The money stays its own until produce is charged.

    `taken_by` is who took it, `by` if empty. Raises NotAllowed, Refused, WrongStage and
    AlreadyEntered.
    """
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, *BEFORE)
        what = f"{household.name} paid ahead"
        return _take(buy, household, cents, what=what, by=by, taken_by=taken_by or by, once=once)


def take_cash(
    buy: Buy,
    household: Household,
    cents: int,
    *,
    by: Member,
    taken_by: Member | None = None,
    once: UUID | None = None,
) -> BuyPayment:
    """A household pays when it fetches its share; who took the money is written down.

    Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, *AT_PICKUP)
        what = f"{household.name} paid at the pickup"
        return _take(buy, household, cents, what=what, by=by, taken_by=taken_by or by, once=once)


def _take(
    buy: Buy,
    household: Household,
    cents: int,
    *,
    what: str,
    by: Member,
    taken_by: Member,
    once: UUID | None,
) -> BuyPayment:
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    if cents <= 0:
        raise Refused("Say how much, above zero.", field="cents")
    if taken_by.coop_id != buy.coop_id:
        raise Refused("Whoever took the money belongs to this co-op.", field="taken_by")
    note = f"{what}, taken by {taken_by.name}"
    payment = post_payment(
        buy,
        Entry.Kind.PAID_IN,
        Flow(account_of(household), open_till(buy.coop), cents, note),
        title=f"{buy.title}: {what}",
        by=by,
        household=household,
        taken_by=taken_by,
        once=once,
    )
    record_change(
        buy,
        f"{what}: {money(cents, buy.coop.currency)}, taken by {taken_by.name}",
        coop=buy.coop,
        by=by,
        after={"payment": payment.pk},
    )
    return payment
