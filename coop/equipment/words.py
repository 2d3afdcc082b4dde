"""Equipment in words: lengths, moments by the co-op's clocks, hours of the week, weights, amps.

Sentences of acts and tags of pages take their words from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from coop.core.figures import amount, counted, join_words, plural
from coop.equipment.kinds import Gauge, Stove, ThingKind
from coop.equipment.models import Booking, OpenHours, Thing
from coop.people.models import Coop, Member

MINUTES_IN_HOUR, HOURS_IN_DAY, MINUTES_IN_DAY = 60, 24, 1440
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def length_said(minutes: int) -> str:
    """How long, in days, hours and minutes.

    >>> length_said(180), length_said(90), length_said(45), length_said(7 * 1440)
    ('3 h', '1 h 30 min', '45 min', '7 days')
    >>> length_said(28 * 60), length_said(50 * 60), length_said(0)
    ('1 day 4 h', '2 days 2 h', '0 min')
    """
    days, rest_of_day = divmod(minutes, MINUTES_IN_DAY)
    hours, rest = divmod(rest_of_day, MINUTES_IN_HOUR)
    parts = [
        counted(days, "day") if days else "",
        f"{hours} h" if hours else "",
        f"{rest} min" if rest else "",
    ]
    return " ".join(filter(None, parts)) or "0 min"


def unbroken(length: str) -> str:
    """A length whose numbers keep to their units at the end of a line.

    >>> unbroken("1 day 4 h").replace("\N{NO-BREAK SPACE}", "~")
    '1~day 4~h'
    """
    return re.sub(r"(?<=\d) ", "\N{NO-BREAK SPACE}", length)


def minutes_between(start: datetime, end: datetime) -> int:
    """Whole minutes from one moment to another, whatever the clocks did between them."""
    return int((end - start).total_seconds()) // MINUTES_IN_HOUR


def clock_said(minute: int) -> str:
    """A minute of the day as a clock shows it.

    >>> clock_said(480), clock_said(1230), clock_said(1440)
    ('8:00', '20:30', '24:00')
    """
    hour, rest = divmod(minute, MINUTES_IN_HOUR)
    return f"{hour}:{rest:02}"


def day_said(day: date) -> str:
    """A day with its year, for sentences that are read years later.

    >>> day_said(date(2026, 8, 10))
    'Mon 10 Aug 2026'
    """
    return f"{day:%a} {day.day} {day:%b} {day.year}"


def moment_said(moment: datetime, coop: Coop) -> str:
    """A moment by the co-op's clocks: "Thu 13 Aug, 14:00"."""
    local = moment.astimezone(ZoneInfo(coop.time_zone))
    return f"{local:%a} {local.day} {local:%b}, {local.hour}:{local.minute:02}"


def span_said(start: datetime, end: datetime, coop: Coop) -> str:
    """From one moment to another by the co-op's clocks, the day said again only if it changes.

    "Thu 13 Aug, 14:00 to 17:00", "Thu 13 Aug, 14:00 to Sat 15 Aug, 6:00".
    """
    zone = ZoneInfo(coop.time_zone)
    first, last = start.astimezone(zone), end.astimezone(zone)
    same_day = first.date() == last.date()
    until = f"{last.hour}:{last.minute:02}" if same_day else moment_said(end, coop)
    return f"{moment_said(start, coop)} to {until}"


def later_said(was: datetime, begins: datetime, coop: Coop) -> str:
    """When something begins that was to begin sooner, and how much later that is.

    "Thu 13 Aug, 18:00 in place of 13:00 (5 h later)"; the day it was only if that is another.
    """
    zone = ZoneInfo(coop.time_zone)
    before = was.astimezone(zone)
    same_day = before.date() == begins.astimezone(zone).date()
    said = f"{before.hour}:{before.minute:02}" if same_day else moment_said(was, coop)
    return f"{moment_said(begins, coop)} in place of {said} ({_how_much_later(was, begins)})"


def later_by(was: datetime, begins: datetime, coop: Coop) -> str:
    """How much later something begins: "the same day, 5 h later", "20 h later"."""
    zone = ZoneInfo(coop.time_zone)
    same_day = was.astimezone(zone).date() == begins.astimezone(zone).date()
    return f"{'the same day, ' if same_day else ''}{_how_much_later(was, begins)}"


def _how_much_later(was: datetime, begins: datetime) -> str:
    return f"{length_said(minutes_between(was, begins))} later"


def booked_said(booking: Booking, coop: Coop) -> str:
    """When a booking is: "Thu 13 Aug, 14:00 to 17:00"."""
    return span_said(booking.starts_at, booking.ends_at, coop)


def hours_said(hours: Iterable[OpenHours]) -> str:
    """When a thing may be out, days with the same hours together.

    "Mon to Fri 8:00 to 20:00; Sat 9:00 to 12:00 and 14:00 to 18:00"; "at any time" without hours.
    """
    by_day: dict[int, list[str]] = {}
    for each in sorted(hours, key=lambda span: (span.weekday, span.from_minute)):
        said = f"{clock_said(each.from_minute)} to {clock_said(each.to_minute)}"
        by_day.setdefault(each.weekday, []).append(said)
    if not by_day:
        return "at any time"
    # Days that follow each other with the same hours: day less place is the same for a row of them.
    rows = groupby(enumerate(sorted(by_day)), key=lambda pair: (by_day[pair[1]], pair[1] - pair[0]))
    lines = []
    for (spans, _), pairs in rows:
        days = [day for _, day in pairs]
        lines.append(f"{_days_said(days)} {join_words(spans)}")
    return "; ".join(lines)


def _days_said(days: list[int]) -> str:
    if len(days) == 1:
        return DAYS[days[0]]
    if len(days) == len(DAYS):
        return "every day"
    return f"{DAYS[days[0]]}{' and ' if len(days) == 2 else ' to '}{DAYS[days[-1]]}"  # noqa: PLR2004


def kind_said(kind: str) -> str:
    """A kind of thing in words; an unknown key as it is.

    >>> kind_said("pressure_canner")
    'pressure canner'
    """
    return str(ThingKind(kind).label) if kind in ThingKind.values else kind


def gauge_said(gauge: str) -> str:
    """A gauge in words; nothing for none.

    >>> gauge_said("dial"), gauge_said("")
    ('dial gauge', '')
    """
    return str(Gauge(gauge).label) if gauge in Gauge.values else ""


def stoves_said(stoves: Iterable[str]) -> str:
    """Stoves in words.

    >>> stoves_said(["smooth", "induction"])
    'smooth glass top and induction'
    """
    known = [str(Stove(each).label) for each in stoves if each in Stove.values]
    return join_words(known)


def pounds_said(tenths: int) -> str:
    """Tenths of a pound in words.

    >>> pounds_said(185)
    '18.5 lb'
    """
    return f"{amount(tenths, 'weight')} lb"


#: The unit of what is read off a kind of thing when it comes back, which kinds.py asks for.
READING_UNITS = {
    ThingKind.PRESSURE_CANNER: "psi",
    ThingKind.FREEZE_DRYER: "h",
    ThingKind.SCALE: "lb",
}


def reading_said(tenths: int, kind: str) -> str:
    """What was read off a thing of a kind, in tenths, with its unit.

    >>> reading_said(30, "pressure_canner"), reading_said(12345, "freeze_dryer")
    ('3 psi', '1,234.5 h')
    """
    unit = READING_UNITS[ThingKind(kind)] if kind in READING_UNITS else ""
    return f"{amount(tenths, 'weight')} {unit}".strip()


def amps_said(tenths: int) -> str:
    """Tenths of an ampere in words.

    >>> amps_said(120)
    '12 A'
    """
    return f"{amount(tenths, 'weight')} A"


def psi_said(tenths: int) -> str:
    """Tenths of a psi in words.

    >>> psi_said(115)
    '11.5 psi'
    """
    return f"{amount(tenths, 'weight')} psi"


def off_said(off_tenths: int) -> str:
    """How far a dial is off, and which way.

    >>> off_said(15), off_said(-10), off_said(0)
    ('1.5 psi high', '1 psi low', 'right')
    """
    if off_tenths == 0:
        return "right"
    return f"{psi_said(abs(off_tenths))} {'high' if off_tenths > 0 else 'low'}"


def name_of(thing: Thing, *, most: int = 60) -> str:
    """The name of a thing for a sentence that must stay short."""
    name = thing.name
    return name if len(name) <= most else f"{name[: most - 1].rstrip()}…"


def part_said(count: int, name: str) -> str:
    """So many of a part, in the words that whoever keeps the thing wrote.

    A name that says several already, or joins two, stays as it is.

    >>> part_said(9, "tray"), part_said(1, "gasket"), part_said(2, "bottle of pump oil")
    ('9 trays', '1 gasket', '2 bottles of pump oil')
    >>> part_said(3, "jar lids"), part_said(2, "hose and regulator"), part_said(2, "brush (small)")
    ('3 jar lids', 'hose and regulator (2)', 'brush (small) (2)')
    """
    head, of, rest = name.partition(" of ")
    if " and " in name or not head[-1:].isalpha():
        return f"{count} {name}" if count == 1 else f"{name} ({count})"
    is_several = head.endswith("s") and not head.endswith("ss")
    return f"{count} {head if is_several else plural(count, head)}{of}{rest}"


def by_whom(member: Member) -> str:
    """A member with its household, which is left out where the member's name says it.

    "June Fairweather", but "Ines Okafor, Fairweather".
    """
    household = member.household.name
    return member.name if household in member.name else f"{member.name}, {household}"
