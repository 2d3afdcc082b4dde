"""What was told in a co-op of late, in numbers: what it said may be the reader's own business."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count, Max, Min, Q, QuerySet

from coop.notices.circles import known
from coop.notices.models import Notice
from coop.notices.queries.words import words_of
from coop.people.models import Coop

#: How far back the list goes. Judgement, no source.
LATE = timedelta(days=60)


@dataclass(frozen=True)
class Latest:
    """What was told of one cause, of one kind, about one moment.

    `title` only where every member may read it: of what a circle has in common, and of letters.
    `circle` and `pk` name where its people are shown; a letter's circle is "writing"; or none.
    """

    words: str
    title: str
    last_at: datetime
    people: int
    mailed: int
    refused: int
    circle: str
    pk: int


def latest_in(coop: Coop, now: datetime) -> QuerySet[Notice, Any]:
    """Rows of what came due in the last weeks, the latest first: a query to page through."""
    due = Notice.objects.filter(matter__coop=coop, due_at__lte=now, due_at__gt=now - LATE)
    return (
        due.order_by()
        .values("matter__about", "matter__kind", "matter__at")
        .annotate(
            last_at=Max("due_at"),
            people=Count("member", distinct=True),
            mailed=Count("member", distinct=True, filter=Q(mail__sent_at__isnull=False)),
            refused=Count("member", distinct=True, filter=Q(mail__refused_at__isnull=False)),
            title=Min("matter__title"),
            other_title=Max("matter__title"),
        )
        .order_by("-last_at", "matter__about", "matter__kind", "matter__at")
    )


def latest_of(row: Mapping[str, Any]) -> Latest:
    """A row as a page shows it."""
    circle, _, pk = row["matter__about"].partition(":")
    is_shown = circle == "writing" or circle in known()
    words = words_of(row["matter__kind"])
    is_one = row["title"] == row["other_title"]
    return Latest(
        words=words,
        title=row["title"] if is_shown and is_one else words,
        last_at=row["last_at"],
        people=row["people"],
        mailed=row["mailed"],
        refused=row["refused"],
        circle=circle if is_shown and pk.isdigit() else "",
        pk=int(pk) if pk.isdigit() else 0,
    )
