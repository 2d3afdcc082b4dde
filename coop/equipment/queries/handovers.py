"""Who has a thing, what is late, and who is next in line for it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import OuterRef, Q, QuerySet, Subquery, prefetch_related_objects

from coop.equipment.models import Booking, CountedPart, Handover, Part, Thing
from coop.equipment.queries.bookings import handed, is_out, live, with_parties
from coop.people.models import Coop

#: So much before its time a thing goes out and the booking stays as it is. Judgement, no source.
GRACE = timedelta(minutes=30)
#: What is booked for later than this is not taken yet: it is booked anew. Judgement, no source.
EARLIEST = timedelta(hours=24)


def who_has(things: Iterable[Thing]) -> dict[int, Booking]:
    """The booking with which each thing is out, by key of the thing; one at home is not in it.

    One query. A thing is with one household at most (a database rule).
    """
    keys = [thing.pk for thing in things]
    return {
        booking.thing_id: booking
        for booking in with_parties(Booking.objects.filter(is_out(), thing__in=keys))
    }


def who_has_it(thing: Thing) -> Booking | None:
    """The booking with which a thing is out, if it is."""
    return who_has([thing]).get(thing.pk)


def is_late(booking: Booking | None, now: datetime) -> bool:
    """Whether what is out with a booking should be back by now."""
    return booking is not None and booking.ends_at < now


def came_late(back: Handover, booking: Booking) -> bool:
    """Whether a thing came back late; a booking that its return ends, ends to the minute."""
    return back.what == Handover.What.BACK and back.at >= booking.ends_at + timedelta(minutes=1)


def to_come() -> Q:
    """A filter: bookings that stand, are no mere offers, and whose thing never went out."""
    return Q(cancelled_at=None, held_until=None) & ~Q(handed("out"))


def next_for(things: Iterable[Thing], now: datetime) -> dict[int, Booking]:
    """The booking that has each thing next, by key of the thing: at home or not.

    It may have begun, as long as its time is not over and the thing did not go out with it. One
    query.
    """
    first = Booking.objects.filter(to_come(), thing=OuterRef("thing"), ends_at__gt=now)
    rows = Booking.objects.filter(
        thing__in=[thing.pk for thing in things],
        pk=Subquery(first.order_by("starts_at", "pk").values("pk")[:1]),
    )
    return {booking.thing_id: booking for booking in with_parties(rows)}


def next_for_it(thing: Thing, now: datetime) -> Booking | None:
    """The booking that has a thing next, if any."""
    return next_for([thing], now).get(thing.pk)


def late_now(coop: Coop, now: datetime) -> QuerySet[Booking]:
    """The bookings of a co-op whose thing should be back and is not, the longest due first."""
    return with_parties(live(coop).filter(is_out(), ends_at__lt=now)).order_by("ends_at", "pk")


def back_of(booking: Booking) -> Handover | None:
    """The return of a booking, if it is back, with what it found wrong. One query, or none."""
    back = next((each for each in booking.handovers.all() if each.what == Handover.What.BACK), None)
    if back is not None:
        prefetch_related_objects([back], "faults")
    return back


def parts_expected(booking: Booking, what: str) -> dict[str, int]:
    """How many of each part there should be at a handover of a booking, by name. One query.

    Out: what belongs to the thing. Back: what was counted when it went out, so that nobody answers
    for what was missing before.
    """
    if what == Handover.What.BACK:
        counted = CountedPart.objects.filter(
            handover__booking=booking, handover__what=Handover.What.OUT
        )
        return dict(counted.order_by("pk").values_list("name", "counted"))
    parts = Part.objects.filter(thing=booking.thing_id).order_by("pk")
    return dict(parts.values_list("name", "count"))
