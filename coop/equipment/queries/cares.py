"""What is to be looked after: how often a thing was used since, and when care is due again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.db.models import (
    DateTimeField,
    F,
    IntegerField,
    OuterRef,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce
from django.http import Http404

from coop.core.storage import months_after
from coop.equipment.models import Care, CareDone, Handover, Thing
from coop.people.models import Member


@dataclass(frozen=True)
class CareState:
    """How it stands with one care of a thing.

    `since` is when it was last done, or, where it never was, when it was put on the list; `uses`
    are those of the thing since then; `due_on` its day, None where only uses count.
    """

    care: Care
    since: datetime
    was_done: bool
    uses: int
    due_on: date | None
    today: date

    @property
    def is_due(self) -> bool:
        """Whether it is due, by uses or by its day."""
        by_uses = self.care.every_uses is not None and self.uses >= self.care.every_uses
        return by_uses or (self.due_on is not None and self.due_on <= self.today)


def care_for(member: Member, care_id: int) -> Care:
    """A care, with its thing. Absent and another co-op's are the same 404."""
    found = Care.objects.filter(thing__coop=member.coop, pk=care_id)
    care = found.select_related("thing__coop", "thing__owner").first()
    if care is None:
        raise Http404
    return care


def cares_in(things: Sequence[Thing], today: date) -> list[CareState]:
    """The cares of some things of one co-op, as they stand. One query."""
    rows = _with_uses(Care.objects.filter(thing__in=things)).select_related("thing__coop")
    return [_state(care, today) for care in rows]


def cares_of(thing: Thing, today: date) -> list[CareState]:
    """The cares of one thing, what is due first. One query."""
    return sorted(cares_in([thing], today), key=lambda state: not state.is_due)


def done_on(thing: Thing, most: int = 12) -> QuerySet[CareDone]:
    """What was looked after last on a thing. One query."""
    done = CareDone.objects.filter(care__thing=thing).select_related("care", "by__household")
    return done.order_by("-done_at", "-id")[:most]


def _with_uses(cares: QuerySet[Care]) -> QuerySet[Care]:
    last = CareDone.objects.filter(care=OuterRef("pk")).order_by("-done_at").values("done_at")[:1]
    used = (
        Handover.objects.filter(
            booking__thing=OuterRef("thing"), what=Handover.What.BACK, at__gt=OuterRef("since")
        )
        .order_by()
        .values("booking__thing")
        .annotate(total=Sum("uses"))
        .values("total")
    )
    return cares.annotate(
        last_done=Subquery(last),
        since=Coalesce("last_done", F("at"), output_field=DateTimeField()),
        used=Coalesce(Subquery(used), Value(0), output_field=IntegerField()),
    ).order_by("thing__name", "thing_id", "id")


def _state(care: Care, today: date) -> CareState:
    since = cast("datetime", care.since)  # type: ignore[attr-defined]
    day = since.astimezone(ZoneInfo(care.thing.coop.time_zone)).date()
    return CareState(
        care=care,
        since=since,
        was_done=care.last_done is not None,  # type: ignore[attr-defined]
        uses=cast("int", care.used),  # type: ignore[attr-defined]
        due_on=months_after(day, care.every_months) if care.every_months else None,
        today=today,
    )
