"""Charging the produce of a buy, and what is claimed of it later."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from coop.buying import rights
from coop.buying.actions.books import Posted, account_of, accounts_of, post_charge
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused, TooLate
from coop.buying.models import Buy, Charge, SpareClaim
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.line_costs import LineCost, claims_to_charge, line_costs
from coop.buying.queries.produce_costs import LotCost, digest_of_lots, lots_to_charge
from coop.core.charges import share_by_weight
from coop.core.figures import join_words, money, quantity
from coop.money.actions.accounts import open_till
from coop.money.actions.entries import Flow
from coop.money.models import Account, Entry
from coop.people.changes import record_change
from coop.people.models import Member


def charge_produce(buy: Buy, *, by: Member, seen: str = "") -> list[Charge]:
    """Charge every divided line that is not charged yet: farms to buy, buy to households.

    `seen` is the digest of the figures that the member looked at; others are refused. Each line is
    an entry of its own. Of two who charge at once one wins, and the other gets TooLate. Raises also
    NotAllowed, Refused and WrongStage.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.DIVIDED)
        lots, claims = lots_to_charge(buy), claims_to_charge(buy)
        if not lots and not claims:
            raise TooLate("The produce of this buy is charged already. See the costs as they are.")
        if seen and seen != digest_of_lots(lots):
            raise TooLate(
                "A share, a claim or a bill has changed since you looked. Nothing was charged. "
                "Look at the figures again."
            )
        charges = [_charge_lot(buy, lot, by=by) for lot in lots]
        charges += [made for claim in claims if (made := charge_claim(claim, by=by))]
        renew_buy(buy.pk)
        return charges


def _charge_lot(buy: Buy, lot: LotCost, *, by: Member) -> Charge:
    posted = Posted(
        what=Charge.What.PRODUCE,
        kind=Entry.Kind.PRODUCE,
        title=lot.line.produce,
        cents=lot.bill_cents,
        flows=_lot_flows(buy, lot),
        line=lot.line,
    )
    try:
        with transaction.atomic():
            charge = post_charge(buy, posted, by=by)
    except IntegrityError as refusal:
        standing = Charge.objects.filter(line=lot.line, reversed_at__isnull=True)
        if standing.filter(what=Charge.What.PRODUCE).exists():
            raise TooLate(f"{lot.line.produce} was charged a moment ago.") from refusal
        raise
    record_change(
        buy,
        f"{lot.line.produce} charged: {money(lot.bill_cents, buy.coop.currency)} of "
        f"{join_words(farm.name for farm in lot.cents_by_farm)}",
        coop=buy.coop,
        by=by,
        after={"charge": charge.pk, "cents": dict(lot.cents_by_household)},
    )
    return charge


def _lot_flows(buy: Buy, lot: LotCost) -> list[Flow]:
    bills = [
        Flow(farm.account, buy.account, cents, f"{lot.line.produce}, bill of {farm.name}")
        for farm, cents in lot.cents_by_farm.items()
    ]
    households = accounts_of(buy.coop, lot.cents_by_household)
    return bills + [
        Flow(buy.account, households[household], cents, _what(lot, household))
        for household, cents in lot.cents_by_household.items()
    ]


def _what(lot: LotCost, household: int) -> str:
    if lot.by_asked:
        return f"{lot.line.produce}, none of it fit to share"
    return f"{lot.line.produce}, {quantity(lot.got[household], lot.line.measure)}"


# ---- Claims from the spare table ------------------------------------------------------------
@dataclass(frozen=True)
class _Price:
    """Who bears the cost of what is claimed so far, and how much of it goes over."""

    owner: Account
    cents: int


def charge_claim(claim: SpareClaim, *, by: Member) -> Charge | None:
    """Charge a claim that was made after its line was charged; None where it comes to nothing.

    The cost goes over from whoever bears it: the household that did not fetch, the buy's account
    for what nobody had, or the till that carries it. A claim on a line that is not charged yet is
    charged with the line. The member is whoever claimed: rights are those of the claim.
    """
    line = claim.spare.division.line
    with transaction.atomic():
        buy = lock_buy(by, line.buy_id)
        if claim.charges.filter(reversed_at__isnull=True).exists():
            raise TooLate("This claim is charged already.")
        cost = line_costs(buy).get(line.pk)
        price = _price(buy, claim, cost) if cost else None
        if price is None or price.cents <= 0:
            return None
        taker = account_of(claim.household)
        said = f"{line.produce}, {quantity(claim.amount, line.measure)} from the spare table"
        charge = post_charge(
            buy,
            Posted(
                what=Charge.What.CLAIM,
                kind=Entry.Kind.CLAIM,
                title=f"{claim.household.name} takes {said}",
                cents=price.cents,
                flows=_through_buy(buy, price, taker, said),
                line=line,
                claim=claim,
            ),
            by=by,
        )
        record_change(
            buy,
            f"{claim.household.name} charged {money(price.cents, buy.coop.currency)}: {said}",
            coop=buy.coop,
            by=by,
            after={"charge": charge.pk},
        )
        return charge


def _through_buy(buy: Buy, price: _Price, taker: Account, said: str) -> Iterable[Flow]:
    """From the owner to the buy and on to the taker; nothing moves within one account."""
    if price.owner != buy.account:
        yield Flow(price.owner, buy.account, price.cents, f"{said}, by {taker.name}")
    yield Flow(buy.account, taker, price.cents, said)


def _price(buy: Buy, claim: SpareClaim, cost: LineCost) -> _Price | None:
    """The part of the owner's cost that what is claimed is of what the owner had before.

    `cost` may count the claim itself already or not: a claim whose charge was reversed is taken
    out of its amounts, a fresh one is in them.
    """
    fresh = not claim.charges.exists()
    owner_household = claim.spare.share.household if claim.spare.share else None
    if owner_household == claim.household:
        return None
    if owner_household:
        owner = account_of(owner_household)
        had = cost.got.get(owner_household.pk, 0) + (claim.amount if fresh else 0)
    else:
        owner = buy.account if cost.cents_of(buy.account) else open_till(buy.coop)
        had = cost.unclaimed + (claim.amount if fresh else 0)
    borne_cents = cost.cents_of(owner)
    if borne_cents <= 0 or had < claim.amount:
        return None
    part, _ = share_by_weight(borne_cents, [claim.amount, had - claim.amount])
    return _Price(owner, part)


def carry_unclaimed(buy: Buy, *, by: Member) -> list[Charge]:
    """The till bears what of a surplus nobody claimed, so that the buy can be squared up.

    Whoever claims some of it later owes it to the till. Raises NotAllowed, Refused, WrongStage.
    """
    rights.require(by.treasurer, "Only the treasurer decides what the till carries.")
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.DIVIDED)
        costs = [cost for cost in line_costs(buy).values() if cost.cents_of(buy.account) > 0]
        if not costs:
            raise Refused("Nothing of this buy is unclaimed: the till has nothing to carry.")
        return [_carry(buy, cost, by=by) for cost in costs]


def _carry(buy: Buy, cost: LineCost, *, by: Member) -> Charge:
    line, cents = cost.came.line, cost.cents_of(buy.account)
    said = f"{line.produce}, {quantity(cost.unclaimed, line.measure)} that nobody claimed"
    charge = post_charge(
        buy,
        Posted(
            what=Charge.What.UNCLAIMED,
            kind=Entry.Kind.CARRIED,
            title=f"The till carries {said}",
            cents=cents,
            flows=[Flow(buy.account, open_till(buy.coop), cents, said)],
            line=line,
        ),
        by=by,
    )
    record_change(
        buy,
        f"The till carries {money(cents, buy.coop.currency)}: {said}",
        coop=buy.coop,
        by=by,
        after={"charge": charge.pk},
    )
    return charge
