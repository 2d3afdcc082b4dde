"""Those whom a thing, or a kind of things, concerns: who has it booked, stands by, or had it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import Any

from django.db.models import CharField, Q, QuerySet, Value
from django.db.models.functions import Cast, Concat
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from coop.core.figures import plural
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.queries.bookings import handed
from coop.equipment.queries.coming import coming_on_any
from coop.equipment.queries.line import in_line, wants, would_do
from coop.equipment.queries.thing_list import find_things
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import can_keep, is_steward
from coop.notices.circles import Concern, Part, declare
from coop.people.models import Member

CIRCLE = "thing"
#: How far back somebody had it. Judgement, no source: one season.
SEASON = timedelta(days=365)


@dataclass(frozen=True)
class Words:
    """How the parts of a circle are called."""

    both: str
    coming: str
    standing_by: str
    had: str


OF_ONE = Words(
    "Who has it, has it booked or stands by",
    "Who has it or has it booked",
    "Who stands by for it",
    "Who had it in the last 12 months",
)
OF_KIND = Words(
    "Who has one, has one booked or stands by",
    "Who has one or has one booked",
    "Who stands by for one",
    "Who had one in the last 12 months",
)


def register() -> None:
    """Make the circles known; called once, when the app is ready."""
    declare(CIRCLE, find)
    for kind in ThingKind:
        declare(circle_of(kind), partial(find_kind, kind))


def circle_of(kind: ThingKind) -> str:
    """The circle of all things of a kind; its key is that of the co-op."""
    return f"things-{kind.value}"


def find_kind(kind: ThingKind, member: Member, pk: int) -> Concern:
    """The things of a kind of a co-op as what concerns households. Another co-op's are a 404.

    Of what is told about it the letters alone; all else is told about one of the things.
    """
    if pk != member.coop_id:
        raise Http404
    things = find_things(member.coop, kind=kind)
    names = " or ".join(plural(2, name) for name in kind.label.split(" or "))
    return Concern(
        circle=circle_of(kind),
        pk=pk,
        title=names[:1].upper() + names[1:],
        path=f"{reverse('equipment:things', args=[member.coop.slug])}?kind={kind.value}",
        may_write=is_steward(member),
        parts=lambda: parts_of(list(things), OF_KIND),
        matters=Q(pk__in=[]),
    )


def find(member: Member, pk: int) -> Concern:
    """A thing as what concerns households. Absent and another co-op's are the same 404."""
    thing = thing_for(member, pk)
    return Concern(
        circle=CIRCLE,
        pk=pk,
        title=thing.name,
        path=reverse("equipment:thing", args=[thing.coop.slug, pk]),
        may_write=can_keep(member, thing),
        parts=partial(parts_of, [thing], OF_ONE),
        matters=Q(about=f"{CIRCLE}:{pk}")
        | Q(about__in=_causes("booking", Booking.objects.filter(thing=thing)))
        | Q(about__in=_causes("told", Told.objects.filter(thing=thing))),
    )


def parts_of(things: Sequence[Thing], words: Words) -> list[Part]:
    """Whom things of one co-op concern now, the widest first. Three queries."""
    now = timezone.now()
    rows = coming_on_any(things, now)
    coming = frozenset(each.household_id for each in rows if not each.held_until)
    line = in_line(now).filter(wants(things)) if things else []
    standing_by = frozenset(
        each.household_id for each in line if any(would_do(thing, each) for thing in things)
    )
    had = Booking.objects.filter(handed("out"), thing__in=things, starts_at__gte=now - SEASON)
    parts = [
        Part("coming", words.coming, coming),
        Part("standing_by", words.standing_by, standing_by),
        Part("had", words.had, frozenset(had.values_list("household", flat=True))),
    ]
    if standing_by.difference(coming) and coming:
        both = Part("both", words.both, coming | standing_by)
        parts.insert(0, both)
    return parts


def _causes(cause: str, rows: QuerySet[Any]) -> QuerySet[Any, str]:
    """The names of rows as causes of what is told: "booking:12"."""
    name = Concat(Value(f"{cause}:"), Cast("pk", CharField()), output_field=CharField())
    return rows.order_by().values_list(name, flat=True)
