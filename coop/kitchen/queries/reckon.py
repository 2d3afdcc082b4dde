"""From jars back to pounds, and to the containers that hold them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from django.http import Http404

from coop.buying.models import Line, Measure
from coop.core.preserving import pounds_for
from coop.core.tables import yield_rows
from coop.people.models import Member

TENTHS = 10


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


def reckoned(
    produce: str, wanted: Iterable[tuple[str, str, int]], line: Line | None = None
) -> Reckoned:
    """The pounds for jars wanted, as (product, jar, count), of one produce.

    Containers are those of the line's farms, else those of the published yields. Raises
    NoPublishedYield where a product has none.
    """
    by_product: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for product, jar, count in wanted:
        by_product[product][jar] += count
    needs = [pounds_for(produce, product, jars) for product, jars in by_product.items()]
    sizes = _sizes_of(line) if line else _published_sizes(produce, by_product)
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


def _published_sizes(produce: str, products: Iterable[str]) -> list[tuple[str, int]]:
    rows = [row for row in yield_rows() if row.produce == produce and row.product in products]
    return sorted(
        {
            (row.container.replace("_", " "), ceil(row.container_lb * TENTHS))
            for row in rows
            if row.container_lb and row.container != "recipe_batch"
        }
    )
