"""From jars back to pounds, and to the containers that hold them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from django.http import Http404
from django.utils import timezone

from coop.buying.models import Buy, Line, Measure
from coop.core.preserving import pounds_for, pounds_to_freeze, produce_named
from coop.core.tables import yield_rows
from coop.kitchen.models import Way
from coop.people.models import Coop, Member

TENTHS = 10

#: Way, product (or form for the freezer), jar, and how many.
Wanted = tuple[str, str, str, int]


@dataclass(frozen=True)
class Container:
    """A container of so many tenths of a pound, and how many hold what is needed."""

    name: str
    tenths: int
    count: int

    @property
    def total_tenths(self) -> int:
        """What the whole containers hold together."""
        return self.tenths * self.count


@dataclass(frozen=True)
class Needed:
    """Tenths of a pound to ask for, rounded up to the tenth, with the containers that hold them."""

    tenths: int
    containers: list[Container]


@dataclass(frozen=True)
class Reckoned:
    """`likely` by the published load, `safe` by the least that is published for it."""

    likely: Needed
    safe: Needed
    source: tuple[str, ...]


@dataclass(frozen=True)
class LineToAsk:
    """An open line that has such produce, and what to ask of it; by the piece: none is known."""

    line: Line
    likely: Needed

    @property
    def is_by_weight(self) -> bool:
        """Whether its amounts are pounds."""
        return self.line.measure == Measure.WEIGHT


def lines_to_ask(coop: Coop, produce: str, likely: Needed) -> list[LineToAsk]:
    """The lines of buys that still take asks and have this produce, soonest close first."""
    lines = (
        Line.objects.filter(
            buy__coop=coop, buy__stage=Buy.Stage.ASKING, buy__asks_close_at__gt=timezone.now()
        )
        .select_related("buy")
        .prefetch_related("supplies")
        .order_by("buy__asks_close_at", "buy_id", "position")
    )
    return [
        LineToAsk(line, _needed(Fraction(likely.tenths, TENTHS), _sizes_of(line)))
        for line in lines
        if produce_named(line.produce) == produce
    ]


def reckoned(produce: str, wanted: Iterable[Wanted], line: Line | None = None) -> Reckoned:
    """The pounds for jars and freezer containers wanted of one produce.

    Containers are those of the line's farms, else those of the published yields. Raises
    NoPublishedYield where a product has none.
    """
    by_product: dict[tuple[str, str], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for way, product, jar, count in wanted:
        by_product[way, product][jar] += count
    needs = [
        (pounds_to_freeze if way == Way.FREEZE else pounds_for)(produce, product, jars)
        for (way, product), jars in by_product.items()
    ]
    sizes = _sizes_of(line) if line else _published_sizes(produce)
    return Reckoned(
        likely=_needed(sum((need.likely for need in needs), Fraction()), sizes),
        safe=_needed(sum((need.safe for need in needs), Fraction()), sizes),
        source=tuple(dict.fromkeys(key for need in needs for key in need.source)),
    )


def line_to_ask(member: Member, line_id: int) -> Line:
    """A line of a buy of the co-op, with its supplies. Absent and another co-op's: 404."""
    line = (
        Line.objects.filter(buy__coop=member.coop, pk=line_id)
        .select_related("buy")
        .prefetch_related("supplies")
        .first()
    )
    if line is None:
        raise Http404
    return line


def _needed(pounds: Fraction, sizes: list[tuple[str, int]]) -> Needed:
    tenths = ceil(pounds * TENTHS)
    return Needed(tenths, [Container(name, size, ceil(tenths / size)) for name, size in sizes])


def _sizes_of(line: Line) -> list[tuple[str, int]]:
    if line.measure != Measure.WEIGHT:
        return []
    return sorted({(supply.container, supply.size) for supply in line.supplies.all()})


def _published_sizes(produce: str) -> list[tuple[str, int]]:
    """The containers of the published yields; a batch of a recipe is none."""
    return sorted(
        {
            (row.container.replace("_", " "), ceil(row.container_lb * TENTHS))
            for row in yield_rows()
            if row.produce == produce and row.container_lb and row.container != "recipe_batch"
        }
    )
