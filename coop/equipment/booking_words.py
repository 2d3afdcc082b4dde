"""Times of bookings in words, on the co-op's clocks: Sat 15 Aug, 9:00 to 12:00."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from coop.core import moments
from coop.core.figures import counted, join_words
from coop.equipment.models import Booking, Thing
from coop.people.models import Coop

MINUTES_IN_HOUR, HOURS_IN_DAY = 60, 24
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def zone_of(coop: Coop) -> ZoneInfo:
    """Whose clocks the co-op goes by."""
    return ZoneInfo(coop.time_zone)


def moment_said(moment: datetime, coop: Coop) -> str:
    """A day and an hour: Sat 15 Aug at 9:00."""
    local = moments.local(moment, zone_of(coop))
    return f"{moments.day(local.date())} at {moments.clock(local)}"


def span_said(start: datetime, end: datetime, coop: Coop) -> str:
    """From when until when: "Sat 15 Aug, 9:00 to 12:00", the day again where it changes."""
    zone = zone_of(coop)
    said = moments.span(start, end, zone)
    first, last = moments.local(start, zone).date(), moments.local(end, zone).date()
    return said if first != last else f"{moments.day(first)}, {said}"


def booking_said(booking: Booking) -> str:
    """The time of a booking."""
    return span_said(booking.starts_at, booking.ends_at, booking.coop)


def length_said(length: timedelta) -> str:
    """How long: 3 hours; 1 day and 6 hours; 1 hour and 30 minutes.

    >>> length_said(timedelta(hours=30)), length_said(timedelta(minutes=90))
    ('1 day and 6 hours', '1 hour and 30 minutes')
    """
    hours, minutes = divmod(round(length.total_seconds()) // 60, MINUTES_IN_HOUR)
    days, hours = divmod(hours, HOURS_IN_DAY)
    parts = [(days, "day"), (hours, "hour"), (minutes, "minute")]
    return join_words(counted(number, noun) for number, noun in parts if number) or "no time"


def week_said(thing: Thing) -> str:
    """The hours in which a thing may be out: Mon 8:00 to 20:00, Sat 0:00 to 24:00."""

    def clock(minute: int) -> str:
        return f"{minute // MINUTES_IN_HOUR}:{minute % MINUTES_IN_HOUR:02}"

    return ", ".join(
        f"{WEEKDAYS[row.weekday]} {clock(row.from_minute)} to {clock(row.to_minute)}"
        for row in thing.hours.all()
    )
