"""The pantry: what a household has on its shelf, and what left it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import F, Q, QuerySet
from django.http import Http404

from coop.core.figures import join_words
from coop.core.preserving import pack_words
from coop.core.storage import BestBy, best_by, months_after
from coop.kitchen.models import Lot, Taken, Way
from coop.kitchen.queries.dangers import Danger, dangers_of
from coop.kitchen.queries.lots import jar_said, jars_said, lots_of, product_said, with_shelf
from coop.people.models import Coop, Household, Member

#: Best by within so many months: soon.
SOON_MONTHS = 2
#: What was taken last, as many as a page shows.
LATELY = 10
#: What others gave is shown for as long as it may still stand about.
GIVEN_DAYS = 730


@dataclass(frozen=True)
class OnShelf:
    """One lot in the pantry: how many stand there, until when they are best, what speaks against.

    `state`: "past" or "soon" by its best-by date, else "".
    """

    lot: Lot
    count: int
    best_by: BestBy | None
    state: str
    dangers: Sequence[Danger] = ()

    @property
    def said(self) -> str:
        """How many of what: 5 quarts."""
        return jars_said(self.lot, self.count)

    @property
    def put_up_as(self) -> str:
        """Pack and jar: "hot pack, quart jars, wide mouth"."""
        pack = [pack_words(self.lot.pack)] if self.lot.pack else []
        return ", ".join([*pack, jar_said(self.lot)])


@dataclass(frozen=True)
class Group:
    """All lots of one product, the oldest first."""

    product: str
    rows: list[OnShelf] = field(default_factory=list)

    @property
    def said(self) -> str:
        """What there is of it that may be eaten: "12 quarts and 5 pints"."""
        sums: dict[str, tuple[Lot, int]] = {}
        for row in self.rows:
            if not row.dangers:
                jar = f"{row.lot.way} {row.lot.jar}"
                sums[jar] = (row.lot, sums.get(jar, (row.lot, 0))[1] + row.count)
        return join_words(jars_said(lot, count) for lot, count in sums.values()) or "none good"

    @property
    def worst(self) -> str:
        """What the head of the group warns of: "danger", "past", "soon", or ""."""
        states = {"danger" if row.dangers else row.state for row in self.rows if row.count}
        return next((state for state in ("danger", "past", "soon") if state in states), "")

    @property
    def key(self) -> str:
        """What a page calls it by."""
        return re.sub(r"[^a-z0-9]+", "-", self.product.lower())


@dataclass(frozen=True)
class Pantry:
    """The shelf of one household."""

    household: Household
    groups: list[Group]
    waiting: list[Lot]

    @property
    def rows(self) -> list[OnShelf]:
        """Every lot on the shelf."""
        return [row for group in self.groups for row in group.rows]

    @property
    def jars(self) -> int:
        """All that stands there, good or not."""
        return sum(row.count for row in self.rows)

    @property
    def past(self) -> int:
        """How many are past their best."""
        return self._count("past")

    @property
    def soon(self) -> int:
        """How many are best used soon."""
        return self._count("soon")

    @property
    def danger(self) -> int:
        """How many are not to be eaten."""
        return sum(row.count for row in self.rows if row.dangers)

    def group_of(self, lot: Lot) -> Group:
        """The group of a lot, empty where the last of it is gone."""
        product = product_said(lot)
        return next((each for each in self.groups if each.product == product), Group(product))

    def _count(self, state: str) -> int:
        return sum(row.count for row in self.rows if row.state == state and not row.dangers)


def pantry_of(household: Household, today: date) -> Pantry:
    """What stands on a household's shelf, by product, oldest first; six queries."""
    lots = with_shelf(lots_of(household.coop).filter(household=household)).select_related("coop")
    there = list(lots.alias(there=F("on_shelf")).filter(there__gt=0).order_by("made_on", "number"))
    groups: dict[str, Group] = {}
    for row in rows_of(household.coop, there, today):
        product = product_said(row.lot)
        groups.setdefault(product, Group(product)).rows.append(row)
    waiting = list(lots.filter(way=Way.CAN, seal_check__isnull=True).order_by("made_on", "number"))
    return Pantry(household, sorted(groups.values(), key=lambda group: group.product), waiting)


def rows_of(coop: Coop, lots: Sequence[Lot], today: date) -> list[OnShelf]:
    """Lots that came through `with_shelf`, as a pantry shows them."""
    dangers = dangers_of(coop, lots)
    return [_row(lot, today, dangers.get(lot.pk, [])) for lot in lots]


def _row(lot: Lot, today: date, dangers: list[Danger]) -> OnShelf:
    best = best_by(lot.way, lot.produce, lot.made_on)
    return OnShelf(lot, vars(lot)["on_shelf"], best, _state(best, today), dangers)


def _state(best: BestBy | None, today: date) -> str:
    if best is None:
        return ""
    if (best.on.year, best.on.month) < (today.year, today.month):
        return "past"  # labels name the month, and mean all of it
    return "soon" if best.on <= months_after(today, SOON_MONTHS) else ""


def lately_taken(household: Household) -> QuerySet[Taken]:
    """What left the shelf last, newest first, without what was undone."""
    return (
        Taken.objects.filter(lot__household=household, undone_at__isnull=True)
        .select_related("lot", "given_to", "by")
        .order_by("-at", "-pk")[:LATELY]
    )


def given_to(household: Household, today: date) -> list[tuple[Taken, list[Danger]]]:
    """What others gave a household in two years, newest first, and what speaks against it."""
    since = today - timedelta(days=GIVEN_DAYS)
    given = list(
        Taken.objects.filter(given_to=household, undone_at__isnull=True, at__date__gte=since)
        .select_related("lot__household")
        .order_by("-at", "-pk")
    )
    dangers = dangers_of(household.coop, [taken.lot for taken in given])
    return [(taken, dangers.get(taken.lot_id, [])) for taken in given]


def taken_for(member: Member, taken_id: int) -> Taken:
    """Jars that were taken, to undo it. Absent and another co-op's are the same 404."""
    found = Taken.objects.filter(pk=taken_id, lot__coop=member.coop)
    taken = found.select_related("lot__household", "lot__coop", "given_to", "by").first()
    if taken is None:
        raise Http404
    return taken


def households_to_choose(coop: Coop, kept: Household | None = None) -> QuerySet[Household]:
    """The households of a co-op by name, and one more that may have left."""
    here = Q(left_at__isnull=True) | Q(pk=kept.pk if kept else None)
    return Household.objects.filter(here, coop=coop)
