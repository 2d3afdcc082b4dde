"""How moments are written, in a co-op's zone. The clock is an argument."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

#: From this hour on, today is "tonight".
EVENING = 18


def local(value: datetime, zone: ZoneInfo) -> datetime:
    """The moment as the clocks of the zone show it."""
    return value.astimezone(zone)


def day(value: date, *, today: date | None = None) -> str:
    """A day by its name, with the year where it is not this year's.

    >>> (
    ...     day(date(2026, 8, 11), today=date(2026, 8, 1)),
    ...     day(date(2025, 8, 12), today=date(2026, 8, 1)),
    ... )
    ('Tue 11 Aug', 'Tue 12 Aug 2025')
    """
    text = f"{value:%a} {value.day} {value:%b}"
    return text if today is None or value.year == today.year else f"{text} {value.year}"


def clock(value: datetime) -> str:
    """The time of day, of a moment that is already local.

    >>> clock(datetime(2026, 8, 11, 8, 0))
    '8:00'
    """
    return f"{value.hour}:{value.minute:02}"


def when(value: datetime, zone: ZoneInfo, *, now: datetime) -> str:
    """A moment as one would say it: "tonight at 20:00", "tomorrow at 9:00", "Fri 14 Aug at 12:00".

    >>> zone = ZoneInfo("America/Denver")
    >>> noon = datetime(2026, 8, 11, 12, tzinfo=zone)
    >>> when(noon.replace(hour=20), zone, now=noon)
    'tonight at 20:00'
    """
    then, today = local(value, zone), local(now, zone).date()
    return f"{_day_said(then, today)} at {clock(then)}"


def _day_said(then: datetime, today: date) -> str:
    near = {-1: "yesterday", 0: "tonight" if then.hour >= EVENING else "today", 1: "tomorrow"}
    return near.get((then.date() - today).days) or day(then.date(), today=today)


def day_said(value: date, *, today: date) -> str:
    """A day as one would say it: "today", "tomorrow", else by its name.

    >>> day_said(date(2026, 8, 12), today=date(2026, 8, 11))
    'tomorrow'
    """
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    return near.get((value - today).days) or day(value, today=today)


def at(value: datetime, zone: ZoneInfo) -> str:
    """A moment by its day and clock, the same whenever it is read: for letters.

    >>> at(datetime(2026, 8, 15, 8, tzinfo=ZoneInfo("America/Denver")), ZoneInfo("America/Denver"))
    'Sat 15 Aug at 8:00'
    """
    then = local(value, zone)
    return f"{day(then.date())} at {clock(then)}"


def by(value: datetime, zone: ZoneInfo) -> str:
    """The same as a deadline, to stand after "by": midnight is the end of a day.

    "Sun 16 Aug at 0:00" is read as the night that follows Sunday.

    >>> denver = ZoneInfo("America/Denver")
    >>> by(datetime(2026, 8, 16, 0, tzinfo=denver), denver)
    'the end of Sat 15 Aug'
    >>> by(datetime(2026, 8, 15, 8, tzinfo=denver), denver)
    'Sat 15 Aug at 8:00'
    """
    then = local(value, zone)
    if then.time() > time(0):
        return at(value, zone)
    return f"the end of {day(then.date() - timedelta(days=1))}"


def ends(value: datetime, zone: ZoneInfo) -> str:
    """The same, to stand after a verb: "asks close Sat 15 Aug at 8:00".

    >>> denver = ZoneInfo("America/Denver")
    >>> ends(datetime(2026, 8, 16, 0, tzinfo=denver), denver)
    'at the end of Sat 15 Aug'
    """
    said = by(value, zone)
    return f"at {said}" if said.startswith("the end") else said


def span(start: datetime, end: datetime, zone: ZoneInfo) -> str:
    """From one moment to another, the day said again only where it changes.

    >>> zone = ZoneInfo("America/Denver")
    >>> four = datetime(2026, 8, 12, 16, tzinfo=zone)
    >>> span(four, four.replace(hour=18, minute=30), zone)
    '16:00 to 18:30'
    """
    first, last = local(start, zone), local(end, zone)
    if first.date() == last.date():
        return f"{clock(first)} to {clock(last)}"
    return f"{day(first.date())}, {clock(first)} to {day(last.date())}, {clock(last)}"
