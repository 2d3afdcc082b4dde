"""What stands in a calendar for one matter: an event, and its alarms (RFC 5545, section 3.6)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils.encoding import iri_to_uri
from icalendar import Alarm, Event, vDuration, vUri

from coop.core.reminders import Lead, before
from coop.notices.calendar.texts import text_of
from coop.notices.models import Matter
from coop.people.models import Coop

#: Under which the ids of all events are made. Never to be changed: calendars know events by them.
EVENTS = UUID("6f0f3f0c-5d0b-4c53-9f0e-6a0c2f1f7f55")
SECONDS_IN_MINUTE, MINUTES_IN_HOUR = 60, 60
#: Where a thing was known too late for every alarm that was chosen. Judgement, no source.
SHORTLY = before(minutes=15)
CALLED_OFF = "Called off: "
NOT_ANY_MORE = "This does not take place any more."


class Exact(vDuration):
    """A duration in hours and minutes, which are real ones.

    A day in a calendar is as long as the clocks make it (RFC 5545, section 3.3.6), so 48 hours
    are not two days.
    """

    def to_ical(self) -> bytes:
        """As "-PT48H"."""
        minutes = int(self.td.total_seconds()) // SECONDS_IN_MINUTE
        hours, rest = divmod(abs(minutes), MINUTES_IN_HOUR)
        parts = f"{hours}H" * bool(hours) + f"{rest}M" * bool(rest)
        return f"{'-' if minutes < 0 else ''}PT{parts or '0S'}".encode()


def uid_of(coop: Coop, key: str) -> str:
    """The id of the event of a matter with a key: the same for good, and nobody else's.

    It hangs on when the co-op was started too, since another site has a first co-op as well.
    """
    return str(uuid5(EVENTS, f"{coop.pk} {coop.created_at.astimezone(UTC).isoformat()} {key}"))


def is_cancelled(matter: Matter) -> bool:
    """Whether it will not be. What was dropped after its moment is over, and was."""
    return matter.is_off


def event_of(matter: Matter, zone: ZoneInfo, alarms: Sequence[Lead] = ()) -> Event:
    """The event of a matter, by the clocks of a zone, with an alarm at each lead.

    What is dropped has no alarm. What is cancelled says so in its words too, since many programs
    show those alone. Does not ask the database: the matter's co-op is at hand.
    """
    gone = is_cancelled(matter)
    event = Event()
    event.add("UID", uid_of(matter.coop, matter.key))
    event.add("SEQUENCE", matter.sequence)
    event.add("DTSTAMP", matter.changed_at)
    event.add("LAST-MODIFIED", matter.changed_at)
    event.add("STATUS", "CANCELLED" if gone else "CONFIRMED")
    _add_times(event, matter, zone)
    link = iri_to_uri(f"{settings.SITE_ADDRESS}/{matter.path.lstrip('/')}")
    event.add("SUMMARY", text_of(CALLED_OFF * gone + matter.title))
    event.add("DESCRIPTION", text_of(NOT_ANY_MORE if gone else _words(matter, link)))
    if matter.where:
        event.add("LOCATION", text_of(matter.where))
    event.add("URL", vUri(link))
    if matter.dropped_at is None:
        for lead in _still_to_ring(matter, alarms, zone):
            event.add_component(_alarm(matter, lead, zone))
    return event


def _add_times(event: Event, matter: Matter, zone: ZoneInfo) -> None:
    """From when to when. A moment, which has no end, takes nobody's time, nor does what is off."""
    times = [matter.at.replace(microsecond=0)]
    if matter.ends_at and matter.ends_at.replace(microsecond=0) > times[0]:
        times.append(matter.ends_at)
    shown = [moment.astimezone(zone) for moment in times]
    if any(moment.fold for moment in shown):
        # Of an hour that comes twice a local time means the first (RFC 5545, section 3.3.5).
        shown = [moment.astimezone(UTC) for moment in times]
    for name, moment in zip(("DTSTART", "DTEND"), shown, strict=False):
        event.add(name, moment)
    takes_time = len(shown) > 1 and not is_cancelled(matter)
    event.add("TRANSP", "OPAQUE" if takes_time else "TRANSPARENT")


def _words(matter: Matter, link: str) -> str:
    lines = [matter.to_do, *map(str, matter.details), f"{matter.button}: {link}"]
    return "\n".join(map(text_of, lines))


def _still_to_ring(matter: Matter, alarms: Sequence[Lead], zone: ZoneInfo) -> list[Lead]:
    """The alarms whose time had not passed when the matter was made; if none is left, one shortly
    before it, where that was still to come.
    """

    def rings(lead: Lead) -> bool:
        return lead.of(matter.at, zone) >= matter.made_at

    left = [lead for lead in alarms if rings(lead)]
    return left or [lead for lead in (SHORTLY,) if alarms and rings(lead)]


def _alarm(matter: Matter, lead: Lead, zone: ZoneInfo) -> Alarm:
    """An alarm so many real hours away; or in UTC, where the clocks of the zone say when.

    Calendars reckon days before as they please when the clocks change, and know no time of day.
    """
    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", text_of(matter.title))
    if lead.days is None:
        alarm.add("TRIGGER", Exact(timedelta(minutes=lead.minutes)))
    else:
        alarm.add("TRIGGER", lead.of(matter.at, zone), {"VALUE": "DATE-TIME"})
    return alarm
