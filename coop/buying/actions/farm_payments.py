"""Paying a farm, and taking money back from it."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction
from django.db.models import Sum

from coop.buying import rights
from coop.buying.actions.books import post_payment
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused
from coop.buying.models import Buy, BuyPayment, Farm, Supply, Tally
from coop.buying.queries.buys import lock_buy
from coop.core.figures import money
from coop.money.actions.entries import Flow
from coop.money.locks import lock_books
from coop.money.models import Account, Entry, Movement
from coop.money.queries.balances import balance_of
from coop.people.changes import record_change
from coop.people.models import Member

PAYABLE = (Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)
BACK = (Buy.Stage.DIVIDED, Buy.Stage.SQUARED, Buy.Stage.CALLED_OFF)


def pay_farm(
    buy: Buy,
    farm: Farm,
    cents: int,
    *,
    payer: Account,
    by: Member,
    note: str = "",
    once: UUID | None = None,
) -> BuyPayment:
    """A farm was paid for a buy, by the till or by a household that fronts it.

    Never more than its bill, once it is tallied, and never more than what the household said that
    it fronts. Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, *PAYABLE)
        _refuse_odd(buy, farm, cents, payer)
        _refuse_overpaid(buy, farm, cents)
        _refuse_beyond_front(buy, cents, payer)
        payment = post_payment(
            buy,
            Entry.Kind.FARM_PAID,
            Flow(payer, farm.account, cents, f"{farm.name} paid for {buy.title}"),
            title=f"{buy.title}: {farm.name} paid by {payer.in_words}",
            by=by,
            farm=farm,
            household=payer.household,
            note=note,
            once=once,
        )
        record_change(
            buy,
            f"{farm.name} paid {money(cents, buy.coop.currency)} by {payer.in_words}",
            coop=buy.coop,
            by=by,
            after={"payment": payment.pk},
        )
        return payment


def _refuse_odd(buy: Buy, farm: Farm, cents: int, account: Account) -> None:
    if cents <= 0:
        raise Refused("Say how much, above zero.", field="cents")
    if account.kind not in {Account.Kind.TILL, Account.Kind.HOUSEHOLD}:
        raise Refused("The till or a household, nothing else.", field="payer")
    if not Supply.objects.filter(line__buy=buy, farm=farm).exists():
        raise Refused(f"{farm.name} supplies nothing to this buy.", field="farm")


def _refuse_overpaid(buy: Buy, farm: Farm, cents: int) -> None:
    """Before the tally a farm may want a deposit, and nobody knows the bill."""
    if buy.stage == Buy.Stage.CALLED_IN:
        return
    open_cents = bill_cents_of_farm(buy, farm) - paid_cents_of_farm(buy, farm)
    if cents > open_cents:
        raise Refused(
            f"{money(max(0, open_cents), buy.coop.currency)} of {farm.name}'s bill is open; this "
            "is more.",
            field="cents",
        )


def _refuse_beyond_front(buy: Buy, cents: int, payer: Account) -> None:
    if payer.household_id is None or payer.household_id != buy.fronted_by_id:
        return
    fronted = buy.payments.filter(
        farm__isnull=False, household=payer.household_id, entry__reversed_by__isnull=True
    ).aggregate(cents=Sum("cents"))["cents"]
    limit_cents = buy.front_limit_cents or 0
    if (fronted or 0) + cents > limit_cents:
        raise Refused(
            f"{payer.name} fronts up to {money(limit_cents, buy.coop.currency)} for this buy, and "
            f"has fronted {money(fronted or 0, buy.coop.currency)}.",
            field="cents",
        )


def bill_cents_of_farm(buy: Buy, farm: Farm) -> int:
    """What a farm charges for a buy by the tally, less the credits it gave since."""
    tallies = Tally.objects.filter(supply__line__buy=buy, supply__farm=farm)
    billed = tallies.aggregate(cents=Sum("bill_cents"))["cents"] or 0
    given_back = Movement.objects.filter(
        source=buy.account,
        target=farm.account,
        entry__charge__buy=buy,
        entry__charge__reversed_at__isnull=True,
    ).aggregate(cents=Sum("cents"))["cents"]
    return int(billed - (given_back or 0))


def paid_cents_of_farm(buy: Buy, farm: Farm) -> int:
    """What a farm was paid for a buy, less what it gave back."""
    standing = Movement.objects.filter(
        entry__buy_payment__buy=buy,
        entry__buy_payment__farm=farm,
        entry__reversed_by__isnull=True,
    )
    paid = standing.filter(target=farm.account).aggregate(cents=Sum("cents"))["cents"] or 0
    back = standing.filter(source=farm.account).aggregate(cents=Sum("cents"))["cents"] or 0
    return int(paid - back)


def take_refund(
    buy: Buy,
    farm: Farm,
    cents: int,
    *,
    payee: Account,
    by: Member,
    note: str = "",
    once: UUID | None = None,
) -> BuyPayment:
    """A farm gave money back: into the till, or to the household that took it.

    Never more than the farm owes the co-op. Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, *BACK)
        _refuse_odd(buy, farm, cents, payee)
        lock_books(buy.coop_id)
        owed_cents = max(0, -balance_of(farm.account))
        if cents > owed_cents:
            owed = money(owed_cents, buy.coop.currency)
            raise Refused(f"{farm.name} owes the co-op {owed}; this is more.", field="cents")
        payment = post_payment(
            buy,
            Entry.Kind.FARM_PAID,
            Flow(farm.account, payee, cents, f"{farm.name} gave back for {buy.title}"),
            title=f"{buy.title}: {farm.name} gave back to {payee.in_words}",
            by=by,
            farm=farm,
            household=payee.household,
            note=note,
            once=once,
        )
        record_change(
            buy,
            f"{farm.name} gave back {money(cents, buy.coop.currency)} to {payee.in_words}",
            coop=buy.coop,
            by=by,
            after={"payment": payment.pk},
        )
        return payment
