"""When a thing is free: its hours, its bookings, and the turnaround after each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, QuerySet, Subquery

from coop.core.opening import open_spans
from coop.core.slots import free_slots
from coop.equipment.models import Booking, Thing

Span = tuple[datetime, datetime]
#: How far ahead a free time is looked for.
HORIZON = timedelta(days=92)


def turnaround_of(thing: Thing) -> timedelta:
    """The time after a booking of a thing in which nobody has it."""
    return timedelta(minutes=thing.turnaround_minutes)


def busy_in(
    things: Iterable[Thing], window: Span, *, besides: Collection[int] = ()
) -> dict[int, list[Span]]:
    """The spans in which things are taken near a window, by key of the thing. One query.

    Each is as `free_slots` wants it: followed by the thing's turnaround, whatever turnaround its
    booking was made with. `besides` are keys of bookings to leave out.
    """
    by_key = {thing.pk: thing for thing in things}
    margin = max((turnaround_of(thing) for thing in by_key.values()), default=timedelta())
    rows = bookings_near(by_key, (window[0], window[1] + margin), besides=besides)
    found: dict[int, list[Span]] = defaultdict(list)
    for thing_id, start, free_at in rows:
        found[thing_id].append((start, free_at - turnaround_of(by_key[thing_id])))
    return found


def bookings_near(
    things: Iterable[int], window: Span, *, besides: Collection[int] = ()
) -> QuerySet[Booking, tuple[int, datetime, datetime]]:
    """The bookings of things that touch a window: (thing, start, free again). One query.

    Bookings of a thing do not overlap, so of those that began before the window only the first to
    be free again after its start can reach into it. So the indexes bound what is read by the
    window, however many bookings there were before it and will be after it.
    """
    keys = list(things)
    standing = Booking.objects.filter(cancelled_at=None).exclude(pk__in=besides)
    first = standing.filter(thing=OuterRef("pk"), free_at__gt=window[0]).order_by("free_at")
    firsts = Thing.objects.filter(pk__in=keys).annotate(first=Subquery(first.values("pk")[:1]))
    reaching_in = standing.filter(pk__in=firsts.order_by().values("first"))
    within = standing.filter(thing__in=keys, starts_at__gte=window[0], starts_at__lt=window[1])
    names = "thing_id", "starts_at", "free_at"
    return (
        reaching_in.filter(starts_at__lt=window[0])
        .order_by()
        .values_list(*names)
        .union(within.order_by().values_list(*names), all=True)
    )


def hours_of(thing: Thing, window: Span) -> list[Span]:
    """The spans of a window in which a thing may be out; prefetch its `hours` for many things."""
    week = [(each.weekday, each.from_minute, each.to_minute) for each in thing.hours.all()]
    return open_spans(week, ZoneInfo(thing.coop.time_zone), window)


def free_in(
    things: Sequence[Thing], window: Span, *, besides: Collection[int] = ()
) -> dict[int, list[Span]]:
    """The spans of a window in which each thing could be had, by key of the thing.

    One query, with the things' `hours` prefetched and their co-op at hand.
    """
    busy = busy_in(things, window, besides=besides)
    return {
        thing.pk: free_slots(
            busy.get(thing.pk, []), hours_of(thing, window), turnaround_of(thing), window
        )
        for thing in things
    }
