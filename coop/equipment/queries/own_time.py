"""When households have their hands full: their own bookings of things that want somebody there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from django.db.models import QuerySet

from coop.equipment.kinds import KINDS
from coop.equipment.models import Booking

Span = tuple[datetime, datetime]
#: Kinds beside which somebody stays while they run.
ATTENDED = [str(kind) for kind, facts in KINDS.items() if facts.attended]


def is_attended(kind: str) -> bool:
    """Whether somebody stays with a thing of a kind while it runs."""
    return kind in ATTENDED


def hands_full(households: Iterable[int], window: Span) -> dict[int, list[Span]]:
    """The times near a window in which each household minds a thing, by key of the household.

    Offers that it may still take are among them. One query.
    """
    rows = minded(households, window).values_list("household_id", "starts_at", "ends_at")
    found: dict[int, list[Span]] = defaultdict(list)
    for household, start, end in rows:
        found[household].append((start, end))
    return found


def minded(households: Iterable[int], window: Span) -> QuerySet[Booking]:
    """The bookings and offers near a window for which somebody of some households stays there."""
    return Booking.objects.filter(
        household__in=list(households),
        cancelled_at=None,
        free_at__gt=window[0],
        starts_at__lt=window[1],
        thing__kind__in=ATTENDED,
    )
