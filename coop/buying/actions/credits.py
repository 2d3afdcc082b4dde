"""A farm's credit for a bad box, which comes later and follows the shares that it belongs to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from coop.buying import rights
from coop.buying.actions.books import Posted, post_charge
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused
from coop.buying.models import Buy, Charge, Farm, Line
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.line_costs import LineCost, line_costs
from coop.buying.queries.produce_costs import rotated
from coop.core.charges import share_by_weight
from coop.core.figures import money
from coop.money.actions.entries import Flow
from coop.money.models import Account, Entry
from coop.people.changes import record_change
from coop.people.models import Member


@dataclass(frozen=True)
class Credit:
    """What a farm takes off its bill for a line: cents above zero, and why."""

    line: Line
    farm: Farm
    cents: int
    why: str


def credit_shares(buy: Buy, credit: Credit) -> dict[int, int]:
    """What comes back to each account, by its id: in proportion to what the line cost it.

    Whoever claimed from the spare table bears its cost, and so gets its part. A full credit gives
    everybody back exactly what they paid. Raises Refused.
    """
    cost = line_costs(buy).get(credit.line.pk)
    if cost is None:
        raise Refused(
            f"{credit.line.produce} is not charged yet. Put the lower bill in the tally instead.",
            field="line",
        )
    _check(buy, credit, cost)
    borne = {account: cents for account, cents in sorted(cost.cents.items()) if cents > 0}
    parts = share_by_weight(credit.cents, list(borne.values()), rotated(len(borne), buy.pk))
    return dict(zip(borne, parts, strict=True))


def _check(buy: Buy, credit: Credit, cost: LineCost) -> None:
    if credit.cents <= 0:
        raise Refused("Say how much, above zero.", field="cents")
    billed_cents = -cost.cents_of(credit.farm.account)
    if billed_cents <= 0:
        raise Refused(
            f"{credit.farm.name} charged nothing for {credit.line.produce}.", field="farm"
        )
    if credit.cents > billed_cents:
        most = money(billed_cents, buy.coop.currency)
        raise Refused(
            f"{credit.farm.name} charged {most} for {credit.line.produce}; it cannot give back "
            "more.",
            field="cents",
        )


def credit(buy: Buy, given: Credit, *, by: Member, once: UUID | None = None) -> Charge:
    """Book a farm's credit. What the farm then owes it pays back, or it comes off its next bill.

    Raises NotAllowed, Refused, WrongStage, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    if not given.why.strip():
        raise Refused("Say what it is for, for everybody to read.", field="why")
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)
        said = f"{given.line.produce}, credit of {given.farm.name}"
        charge = post_charge(
            buy,
            Posted(
                what=Charge.What.CREDIT,
                kind=Entry.Kind.CREDIT,
                title=said,
                cents=given.cents,
                flows=_flows(buy, given, said),
                note=given.why.strip(),
                line=given.line,
            ),
            by=by,
            once=once,
        )
        record_change(
            buy,
            f"{said}: {money(given.cents, buy.coop.currency)}. {given.why.strip()}",
            coop=buy.coop,
            by=by,
            after={"charge": charge.pk},
        )
        return charge


def _flows(buy: Buy, given: Credit, said: str) -> Iterable[Flow]:
    shares = credit_shares(buy, given)
    accounts = Account.objects.in_bulk(list(shares))
    for account, cents in shares.items():
        if account != buy.account_id:
            yield Flow(accounts[account], buy.account, cents, said)
    yield Flow(buy.account, given.farm.account, given.cents, said)
