"""The lines of buys with all that hangs on them before the call-in, and as the core sees them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Prefetch

from coop.buying.models import Ask, Buy, Line, Supply
from coop.core import division, lots


def lines_of(buys: Iterable[Buy]) -> list[Line]:
    """The lines of some buys, with supplies (farm, prices) and asks (household). Four queries."""
    supplies = Supply.objects.select_related("farm").prefetch_related("prices").order_by("id")
    asks = Ask.objects.filter(wanted__gt=0).select_related("household")
    return list(
        Line.objects.filter(buy__in=list(buys))
        .prefetch_related(
            Prefetch("supplies", supplies),
            Prefetch("asks", asks.order_by("household__name", "id"), to_attr="open_asks"),
        )
        .order_by("buy_id", "position", "id")
    )


def open_asks(line: Line) -> list[Ask]:
    """The asks of a line that were not given up; the line comes from `lines_of`."""
    return list(line.open_asks)  # type: ignore[attr-defined]


def core_offer(supply: Supply) -> lots.Offer:
    """A supply as the core sees it. Supplies of one farm share its trip."""
    return lots.Offer(
        supply.container,
        supply.size,
        [(price.from_count, price.cents_each) for price in supply.prices.all()],
        available=supply.available,
        at_least=supply.at_least,
        fixed_cents=supply.trip_cents,
        farm=str(supply.farm_id),
    )


def core_ask(ask: Ask, *, step: int, past: tuple[int, int] = (0, 0)) -> division.Ask:
    """An ask as the core sees it; `past` is what it asked and received earlier this season."""
    return division.Ask(
        ask.wanted,
        at_least=ask.at_least,
        at_most=ask.at_most,
        step=ask.whole or step,
        or_none=ask.or_none,
        past_asked=past[0],
        past_received=past[1],
    )


@dataclass(frozen=True)
class Needs:
    """What the asks of a line come to, in base steps: at least, wanted, and at most."""

    lower: int
    wanted: int
    bears: int


def needs_of(line: Line) -> Needs:
    """What the asks of a line need, want and bear together."""
    asks = [core_ask(ask, step=line.step) for ask in open_asks(line)]
    wanted = sum(ask.wanted for ask in asks)
    lower = sum(ask.promised for ask in asks)
    return Needs(lower, max(wanted, lower), max(wanted, sum(ask.highest for ask in asks)))


def supplies_of(lines: Iterable[Line]) -> list[Supply]:
    """All supplies of the lines, in order."""
    return [supply for line in lines for supply in line.supplies.all()]


def cost_cents(supplies: Iterable[Supply], counts: Mapping[int, int]) -> tuple[int, int]:
    """What these containers cost: (goods, trips), one trip to each farm that is bought from."""
    bought = [supply for supply in supplies if counts.get(supply.pk)]
    goods = 0
    trips: dict[int, int] = {}
    for supply in bought:
        count = counts[supply.pk]
        goods += count * core_offer(supply).cents_each(count)
        trips[supply.farm_id] = max(trips.get(supply.farm_id, 0), supply.trip_cents)
    return goods, sum(trips.values())
