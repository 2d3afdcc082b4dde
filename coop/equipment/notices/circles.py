"""Those whom a thing concerns: who has it or has it booked, who stands by, who had it."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import Any

from django.db.models import CharField, Q, QuerySet, Value
from django.db.models.functions import Cast, Concat
from django.urls import reverse
from django.utils import timezone

from coop.equipment.models import Booking, Thing, Told
from coop.equipment.queries.bookings import handed
from coop.equipment.queries.coming import coming_on
from coop.equipment.queries.line import in_line, wants, would_do
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import can_keep
from coop.notices.circles import Concern, Part, declare
from coop.people.models import Member

CIRCLE = "thing"
#: How far back somebody had it. Judgement, no source: one season.
SEASON = timedelta(days=365)


def register() -> None:
    """Make the circle known; called once, when the app is ready."""
    declare(CIRCLE, find)


def find(member: Member, pk: int) -> Concern:
    """A thing as what concerns households. Absent and another co-op's are the same 404."""
    thing = thing_for(member, pk)
    return Concern(
        circle=CIRCLE,
        pk=pk,
        title=thing.name,
        path=reverse("equipment:thing", args=[thing.coop.slug, pk]),
        may_write=can_keep(member, thing),
        parts=partial(parts_of, thing),
        matters=Q(about=f"{CIRCLE}:{pk}")
        | Q(about__in=_causes("booking", Booking.objects.filter(thing=thing)))
        | Q(about__in=_causes("told", Told.objects.filter(thing=thing))),
    )


def parts_of(thing: Thing) -> list[Part]:
    """Whom a thing concerns now, the widest first. Three queries."""
    now = timezone.now()
    coming = frozenset(each.household_id for each in coming_on(thing, now) if not each.held_until)
    line = in_line(now).filter(wants([thing]))
    standing_by = frozenset(each.household_id for each in line if would_do(thing, each))
    had = Booking.objects.filter(handed("out"), thing=thing, starts_at__gte=now - SEASON)
    parts = [
        Part("coming", "Who has it or has it booked", coming),
        Part("standing_by", "Who stands by for it", standing_by),
        Part(
            "had",
            "Who had it in the last 12 months",
            frozenset(had.values_list("household", flat=True)),
        ),
    ]
    if standing_by.difference(coming) and coming:
        both = Part("both", "Who has it, has it booked or stands by", coming | standing_by)
        parts.insert(0, both)
    return parts


def _causes(cause: str, rows: QuerySet[Any]) -> QuerySet[Any, str]:
    """The names of rows as causes of what is told: "booking:12"."""
    name = Concat(Value(f"{cause}:"), Cast("pk", CharField()), output_field=CharField())
    return rows.order_by().values_list(name, flat=True)
