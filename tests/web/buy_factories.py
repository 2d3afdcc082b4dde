"""Buys at every stage for tests, every argument defaulted.

Rows are written as the acts would leave them, without going through the acts: a test of one act
does not depend on the others. Amounts are in base steps (tenths of a pound, or pieces).
"""

from collections.abc import Iterable, Mapping
from datetime import timedelta
from typing import Any

from coop.buying.models import (
    Ask,
    Buy,
    CallIn,
    Division,
    Line,
    Measure,
    Offer,
    RulesAccepted,
    Share,
    Spare,
    Supply,
    SupplyPrice,
    Tally,
    Weighing,
)
from coop.money.actions.accounts import open_buy_account
from coop.people.models import Coop, Household, Member
from tests.web.factories import NOW, make_coop, make_farm, make_household, make_member, make_offer

STEP_OF = {Measure.WEIGHT: 5, Measure.COUNT: 1}


def make_buy(
    coop: Coop | None = None,
    title: str = "Sweet corn",
    *,
    coordinator: Member | None = None,
    offers: Iterable[Offer] | None = None,
    **fields: Any,
) -> Buy:
    """A buy that is asking until tomorrow evening, with a line for each produce of `offers`.

    Without `offers` it has one line, supplied by one new farm; with `offers=()` it has none.
    """
    coop = coop or (coordinator.coop if coordinator else make_coop())
    coordinator = coordinator or make_member(make_household(coop), roles=["coordinator"])
    defaults = {
        "asks_close_at": NOW + timedelta(hours=36),
        "pickup_place": "The barn behind the grange hall",
        "pickup_from": NOW + timedelta(days=3),
        "pickup_to": NOW + timedelta(days=3, hours=2),
    }
    buy = Buy.objects.create(
        coop=coop,
        account=open_buy_account(coop, title),
        title=title,
        coordinator=coordinator,
        **defaults | fields,
    )
    for offer in [make_offer(make_farm(coop))] if offers is None else offers:
        line = buy.lines.filter(produce=offer.produce).first() or make_line(buy, offer)
        make_supply(line, offer)
    return buy


def make_line(buy: Buy, offer: Offer, **fields: Any) -> Line:
    """A line for the produce of an offer, divided to the half pound or the piece."""
    measure = Measure(offer.measure)
    defaults = {
        "produce": offer.produce,
        "measure": measure,
        "step": STEP_OF[measure],
        "position": buy.lines.count(),
    }
    return Line.objects.create(buy=buy, **defaults | fields)


def make_supply(line: Line, offer: Offer | None = None, **fields: Any) -> Supply:
    """What an offer supplies to a line, on the offer's terms."""
    offer = offer or make_offer(make_farm(line.buy.coop), line.produce, measure=line.measure)
    terms = ("container", "size", "available", "at_least")
    defaults = {term: getattr(offer, term) for term in terms}
    supply = Supply.objects.create(line=line, offer=offer, farm=offer.farm, **defaults | fields)
    SupplyPrice.objects.bulk_create(
        SupplyPrice(supply=supply, from_count=price.from_count, cents_each=price.cents_each)
        for price in offer.prices.all()
    )
    return supply


def make_ask(
    line: Line | None = None,
    household: Household | None = None,
    wanted: int = 350,
    *,
    by: Member | None = None,
    **fields: Any,
) -> Ask:
    """An ask, with the rules of its buy accepted."""
    line = line or the_line(make_buy())
    household = household or make_household(line.buy.coop)
    by = by or household.members.first() or line.buy.coordinator
    RulesAccepted.objects.get_or_create(buy=line.buy, household=household, defaults={"by": by})
    return Ask.objects.create(line=line, household=household, wanted=wanted, by=by, **fields)


def the_line(buy: Buy) -> Line:
    """The first line of a buy."""
    return buy.lines.get(position=0)


def the_supply(buy: Buy) -> Supply:
    """The first supply of the first line of a buy."""
    return the_line(buy).supplies.earliest("id")


def make_called_in_buy(
    coop: Coop | None = None,
    *,
    asks: Mapping[Household, int] | None = None,
    containers: int | None = None,
    **fields: Any,
) -> Buy:
    """A buy called in from the first supply of its first line, enough for what was asked.

    `asks` maps households to what they want of the first line; by default two want 35 lb each.
    """
    fields.setdefault("asks_close_at", NOW - timedelta(hours=12))
    buy = make_buy(coop, **fields)
    line, supply = the_line(buy), the_supply(buy)
    if asks is None:
        asks = {make_household(buy.coop): 350, make_household(buy.coop): 350}
    for household, wanted in asks.items():
        make_ask(line, household, wanted)
    Supply.objects.filter(line__buy=buy).update(called_in=0)
    supply.called_in = -(-sum(asks.values()) // supply.size) if containers is None else containers
    supply.save(update_fields=["called_in"])
    CallIn.objects.create(buy=buy, by=buy.coordinator, at=NOW - timedelta(hours=11))
    return _at_stage(buy, Buy.Stage.CALLED_IN)


def make_tally(
    supply: Supply | None = None,
    *,
    gross: int | None = None,
    tare: int = 0,
    bill_cents: int | None = None,
    by: Member | None = None,
    **fields: Any,
) -> Tally:
    """What came of a supply: all that was called in, on one weighing, at the price promised."""
    supply = supply or the_supply(make_called_in_buy())
    fields.setdefault("containers", supply.called_in or 0)
    count = fields["containers"]
    if bill_cents is None:
        price = supply.prices.filter(from_count__lte=count).last()
        bill_cents = count * price.cents_each if price else 0
    by = by or supply.line.buy.coordinator
    tally = Tally.objects.create(supply=supply, bill_cents=bill_cents, by=by, **fields)
    if gross is None:
        gross = count * supply.size + tare
    if count:
        Weighing.objects.create(tally=tally, containers=count, gross=gross, tare=tare)
    return tally


def make_collected_buy(coop: Coop | None = None, *, gross: int | None = None, **fields: Any) -> Buy:
    """A buy that was called in and tallied; `gross` is what the scale said of its first supply."""
    buy = make_called_in_buy(coop, **fields)
    for supply in Supply.objects.filter(line__buy=buy).order_by("id"):
        make_tally(supply, gross=gross if supply == the_supply(buy) else None)
    return _at_stage(buy, Buy.Stage.COLLECTED)


def make_division(
    line: Line,
    shares: Mapping[Household, int] | None = None,
    *,
    left_over: int = 0,
    surplus: int = 0,
    by: Member | None = None,
    **fields: Any,
) -> Division:
    """A published division; by default each household gets what it asked for.

    What is left over stands on the spare table.
    """
    asked = {ask.household: ask.wanted for ask in line.asks.all()}
    shares = asked if shares is None else shares
    division = Division.objects.create(
        line=line,
        amount=sum(shares.values()) + left_over,
        left_over=left_over,
        surplus=surplus,
        published_by=by or line.buy.coordinator,
        **{"rule": "season"} | fields,
    )
    for household, amount in shares.items():
        wanted = asked.get(household, amount)
        Share.objects.create(division=division, household=household, wanted=wanted, amount=amount)
    if left_over:
        Spare.objects.create(division=division, amount=left_over)
    return division


def make_divided_buy(
    coop: Coop | None = None,
    *,
    shares: Mapping[Household, int] | None = None,
    left_over: int = 0,
    **fields: Any,
) -> Buy:
    """A buy whose first line is divided as `shares` says; what was asked, by default."""
    if shares is not None:
        fields.setdefault("asks", dict(shares))
    buy = make_collected_buy(coop, **fields)
    make_division(the_line(buy), shares, left_over=left_over)
    return _at_stage(buy, Buy.Stage.DIVIDED)


def _at_stage(buy: Buy, stage: Buy.Stage) -> Buy:
    buy.stage = stage
    buy.save(update_fields=["stage"])
    return buy
