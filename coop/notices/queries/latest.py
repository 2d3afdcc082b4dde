"""What was told in the last days, in numbers: what it said may be the reader's own business."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Case, Count, Max, Min, Q, QuerySet, Value, When
from django.db.models.functions import TruncDay

from coop.notices import by_hand
from coop.notices.circles import known
from coop.notices.models import Notice
from coop.notices.queries.words import words_of
from coop.people.models import Coop

#: How far back the list goes. Judgement, no source.
LATE = timedelta(days=60)


@dataclass(frozen=True)
class Latest:
    """What was told of one cause and kind about one moment; or of a kind in all, on one day.

    `title` is the kind's words where what was said is the reader's own business, and may be of
    several things: `notices` counts them. `circle` and `pk` name where its people are shown; a
    letter's circle is "writing"; or none.
    """

    words: str
    title: str
    last_at: datetime
    people: int
    notices: int
    mailed: int
    refused: int
    circle: str
    pk: int


def latest_in(coop: Coop, now: datetime) -> QuerySet[Notice, Any]:
    """Rows of what came due in the last weeks, the latest first: a query to page through.

    What a circle has in common, and letters, have a row each moment; all else one a kind and day.
    """
    shared = Q()
    for circle in sorted(known() | {by_hand.CAUSE}):
        shared |= Q(matter__about__startswith=f"{circle}:")
    day = TruncDay("due_at", tzinfo=ZoneInfo(coop.time_zone))
    due = Notice.objects.filter(matter__coop=coop, due_at__lte=now, due_at__gt=now - LATE)
    return (
        due.order_by()
        .annotate(
            about=Case(When(shared, then="matter__about"), default=Value("")),
            moment=Case(When(shared, then="matter__at"), default=day),
        )
        .values("about", "matter__kind", "moment")
        .annotate(
            last_at=Max("due_at"),
            people=Count("member", distinct=True),
            notices=Count("pk"),
            mailed=Count("member", distinct=True, filter=Q(mail__sent_at__isnull=False)),
            refused=Count("member", distinct=True, filter=Q(mail__refused_at__isnull=False)),
            title=Min("matter__title"),
            other_title=Max("matter__title"),
        )
        .order_by("-last_at", "about", "matter__kind", "moment")
    )


def latest_of(row: Mapping[str, Any]) -> Latest:
    """A row as a page shows it."""
    circle, _, pk = row["about"].partition(":")
    words = words_of(row["matter__kind"])
    is_one = circle and row["title"] == row["other_title"]
    return Latest(
        words=words,
        title=row["title"] if is_one else words,
        last_at=row["last_at"],
        people=row["people"],
        notices=row["notices"],
        mailed=row["mailed"],
        refused=row["refused"],
        circle=circle if pk.isdigit() else "",
        pk=int(pk) if pk.isdigit() else 0,
    )
