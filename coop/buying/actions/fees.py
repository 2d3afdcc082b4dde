"""The fees that a buy stated: for a late change, and for not coming.

A fee goes to the other households of the buy, equally: it makes up for the trouble, and nothing of
it is left over that would belong to nobody.
"""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from coop.buying import rights
from coop.buying.actions.books import Posted, account_of, accounts_of, post_charge
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused
from coop.buying.models import Ask, Buy, Charge, Share
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.produce_costs import rotated
from coop.buying.queries.shares import amounts_got
from coop.core.charges import share_equally
from coop.core.figures import money
from coop.money.actions.entries import Flow
from coop.money.models import Entry, Movement
from coop.people.changes import record_change
from coop.people.models import Household, Member

TITLES = {Charge.What.LATE_CHANGE: "late-change fee", Charge.What.NO_SHOW: "no-show fee"}


@dataclass(frozen=True)
class _Fee:
    what: Charge.What
    cents: int
    note: str


def charge_late_change(
    buy: Buy, household: Household, *, by: Member, note: str = "", once: UUID | None = None
) -> Charge:
    """Charge a household what the buy stated for a change after the close.

    Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
        fee = _Fee(Charge.What.LATE_CHANGE, buy.late_change_cents, note)
        return _charge(buy, household, fee, by=by, once=once)


def charge_no_show(
    buy: Buy, household: Household, *, by: Member, note: str = "", once: UUID | None = None
) -> Charge:
    """Charge a household what the buy stated for not coming; once a buy, and only if it did not.

    Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
        _refuse_who_came(buy, household)
        fee = _Fee(Charge.What.NO_SHOW, buy.no_show_cents, note)
        return _charge(buy, household, fee, by=by, once=once)


def _refuse_who_came(buy: Buy, household: Household) -> None:
    shares = Share.objects.filter(
        division__line__buy=buy, division__withdrawn_at__isnull=True, household=household
    )
    if not shares.filter(amount__gt=0, fetched_at__isnull=True).exists():
        raise Refused(f"{household.name} has fetched its share, or had none.", field="household")
    charged = Movement.objects.filter(
        source=buy.account,
        target__household=household,
        entry__charge__what=Charge.What.NO_SHOW,
        entry__charge__reversed_at__isnull=True,
    )
    if charged.exists():
        raise Refused(f"{household.name} was charged the no-show fee already.", field="household")


def _charge(buy: Buy, household: Household, fee: _Fee, *, by: Member, once: UUID | None) -> Charge:
    if not fee.cents:
        raise Refused(f"This buy states no {TITLES[fee.what]}.")
    if household.pk not in (partners := _partners(buy)):
        raise Refused(f"{household.name} has no part in this buy.", field="household")
    others = sorted(partners - {household.pk})
    if not others:
        raise Refused("No other household has a part in this buy, so nobody would get the fee.")
    title = f"{TITLES[fee.what]} of {household.name}"
    parts = share_equally(fee.cents, len(others), rotated(len(others), buy.pk))
    accounts = accounts_of(buy.coop, others)
    flows = [Flow(buy.account, account_of(household), fee.cents, TITLES[fee.what].capitalize())]
    flows += [
        Flow(accounts[other], buy.account, part, f"Part of the {title}")
        for other, part in zip(others, parts, strict=True)
    ]
    charge = post_charge(
        buy,
        Posted(
            what=fee.what,
            kind=Entry.Kind.FEE,
            title=f"{title[0].upper()}{title[1:]}",
            cents=fee.cents,
            flows=flows,
            basis=Buy.Basis.EQUALLY,
            note=fee.note,
        ),
        by=by,
        once=once,
    )
    record_change(
        buy,
        f"{title[0].upper()}{title[1:]}: {money(fee.cents, buy.coop.currency)}, shared by the "
        "other households",
        coop=buy.coop,
        by=by,
        after={"charge": charge.pk},
    )
    return charge


def _partners(buy: Buy) -> set[int]:
    """Who got something; before the division, who asked for something."""
    got = amounts_got(buy)
    if got:
        return {who for amounts in got.values() for who, amount in amounts.items() if amount}
    asks = Ask.objects.filter(line__buy=buy, wanted__gt=0)
    return set(asks.values_list("household_id", flat=True))
