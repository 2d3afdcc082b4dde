"""The list of things: found by kind and words, each with the state that it is in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q, QuerySet

from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.equipment.queries.handovers import is_late, who_has
from coop.people.days import today_in
from coop.people.models import Coop


@dataclass(frozen=True)
class ThingRow:
    """A thing in the list: whether it is fit, who has it, and whether they are late."""

    thing: Thing
    fitness: Fitness
    with_whom: Booking | None
    is_late: bool


def find_things(
    coop: Coop, *, kind: str = "", words: str = "", retired: bool = False
) -> QuerySet[Thing]:
    """Things of a co-op by name: of a kind, with words in name, home or owner; or the retired."""
    things = Thing.objects.filter(coop=coop, retired_at__isnull=not retired)
    if kind:
        things = things.filter(kind=kind)
    if words:
        things = things.filter(
            Q(name__icontains=words) | Q(home__icontains=words) | Q(owner__name__icontains=words)
        )
    return things.select_related("coop", "owner").order_by("name", "id")


def rows_of(things: Sequence[Thing], now: datetime) -> list[ThingRow]:
    """Things with their state. Three queries for however many, which are all of one co-op."""
    if not things:
        return []
    today = today_in(things[0].coop, now)
    fitness, out = fitness_in(things, today), who_has(things)
    return [
        ThingRow(thing, fitness[thing.pk], has := out.get(thing.pk), is_late(has, now))
        for thing in things
    ]


def kinds_there(coop: Coop) -> list[tuple[ThingKind, int]]:
    """The kinds of which the co-op has things in use, and how many, in the order of kinds."""
    counts = dict(
        Thing.objects.filter(coop=coop, retired_at=None)
        .values_list("kind")
        .annotate(Count("pk"))
        .order_by("kind")
    )
    return [(kind, counts[kind]) for kind in ThingKind if kind in counts]


def retired_count(coop: Coop) -> int:
    """How many things are out of use for good."""
    return Thing.objects.filter(coop=coop, retired_at__isnull=False).count()
