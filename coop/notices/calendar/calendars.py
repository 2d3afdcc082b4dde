"""A whole calendar: one member's feed, or a file with one event (RFC 5545 and RFC 7986)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar

from coop.core.reminders import Lead
from coop.notices.calendar.events import event_of
from coop.notices.calendar.texts import text_of
from coop.notices.calendar.zones import years_of
from coop.notices.models import Matter
from coop.people.models import Coop

CONTENT_TYPE = "text/calendar; charset=utf-8"
MAKER = "-//Many Larders//Calendar//EN"
#: How often a program should look again.
LOOK_AGAIN = timedelta(hours=1)
#: The clocks are told through so many years after the first; what comes yearly holds on.
YEARS_TOLD = 10

#: When a member wants an alarm, by the code of the kind; none for a kind that is not there.
Alarms = Mapping[str, Sequence[Lead]]


def feed_of(coop: Coop, matters: Iterable[Matter], alarms: Alarms, *, first_year: int) -> bytes:
    """All of a member's events. `first_year` is before the first of them."""
    calendar = _calendar(coop, first_year=first_year)
    for name in ("NAME", "X-WR-CALNAME"):  # the second is older, and known to more programs
        calendar.add(name, text_of(coop.name))
    calendar.add("REFRESH-INTERVAL", LOOK_AGAIN, {"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", "PT1H")
    return _with_events(calendar, coop, matters, alarms)


def file_of(matter: Matter, alarms: Alarms) -> bytes:
    """One event, the same as in the feed."""
    calendar = _calendar(matter.coop, first_year=matter.at.year - 1)
    return _with_events(calendar, matter.coop, [matter], alarms)


def _calendar(coop: Coop, *, first_year: int) -> Calendar:
    calendar = Calendar()
    calendar.add("PRODID", MAKER)
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add_component(years_of(coop.time_zone, first_year, first_year + YEARS_TOLD))
    return calendar


def _with_events(
    calendar: Calendar, coop: Coop, matters: Iterable[Matter], alarms: Alarms
) -> bytes:
    zone = ZoneInfo(coop.time_zone)
    for matter in matters:
        matter.coop = coop  # the same object for all, rather than a query for each
        calendar.add_component(event_of(matter, zone, alarms.get(matter.kind, ())))
    return bytes(calendar.to_ical())
