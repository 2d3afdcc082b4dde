"""The clocks of a zone as a VTIMEZONE (RFC 5545, section 3.6.5), for so many years.

icalendar's own maker dates the change to summer time an hour late, so the changes are found here.
One that comes on the same day of each year becomes a rule, which holds after those years too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

ZERO, ONE_SECOND, ONE_DAY = timedelta(), timedelta(seconds=1), timedelta(days=1)
DAYS_IN_WEEK = 7
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
LAST = -1
#: So many years in a row make a rule; fewer are dates.
RULE_YEARS = 3


@dataclass(frozen=True)
class Clocks:
    """What the clocks show from some moment on: their offset, and what it is called."""

    offset: timedelta
    name: str
    is_daylight: bool


@dataclass(frozen=True)
class Change:
    """At `at`, in UTC, the clocks change."""

    at: datetime
    before: timedelta
    after: Clocks

    @property
    def clock(self) -> datetime:
        """The local time of the change, by the clocks as they still are."""
        return (self.at + self.before).replace(tzinfo=None)

    @property
    def days(self) -> set[tuple[int, str, int]]:
        """The month, the weekday and which one it is: the second, the last; both where both."""
        clock = self.clock
        weekday = WEEKDAYS[clock.weekday()]
        found = {(clock.month, weekday, (clock.day - 1) // DAYS_IN_WEEK + 1)}
        if (clock + DAYS_IN_WEEK * ONE_DAY).month != clock.month:
            found.add((clock.month, weekday, LAST))
        return found


@lru_cache(maxsize=64)
def years_of(zone_key: str, first_year: int, last_year: int) -> Timezone:
    """The clocks of a zone through these years. Shared: not to be altered."""
    since, until = (datetime(year, 1, 1, tzinfo=UTC) for year in (first_year, last_year + 1))
    return timezone_of(ZoneInfo(zone_key), since, until)


def timezone_of(zone: ZoneInfo, since: datetime, until: datetime) -> Timezone:
    """The clocks of a zone from one moment to another.

    Rules that still hold at the end, in the last whole year before `until`, have no end.
    """
    found = Timezone()
    found.add("TZID", zone.key)
    changes = list(changes_of(zone, since, until))
    if not changes or changes[0].at > since:
        clocks = _clocks(since, zone)
        first = Change(since, clocks.offset, clocks)
        found.add_component(_observance([first]))
    alike: dict[tuple[timedelta, Clocks], list[Change]] = defaultdict(list)
    for change in changes:
        alike[change.before, change.after].append(change)
    for group in alike.values():
        for run in _runs(group):
            found.add_component(_observance(run, last_year=until.year - 1))
    return found


def changes_of(zone: ZoneInfo, since: datetime, until: datetime) -> Iterator[Change]:
    """Every change of the clocks from `since` on and before `until`."""
    at = since.astimezone(UTC) - ONE_SECOND
    while at < until:
        before, later = _clocks(at, zone), at + ONE_DAY
        if _clocks(later, zone) == before:
            at = later
            continue
        while later - at > ONE_SECOND:
            middle = at + (later - at) // ONE_SECOND // 2 * ONE_SECOND
            at, later = (middle, later) if _clocks(middle, zone) == before else (at, middle)
        if later < until:
            yield Change(later, before.offset, _clocks(later, zone))
        at = later


def _clocks(moment: datetime, zone: ZoneInfo) -> Clocks:
    local = moment.astimezone(zone)
    return Clocks(local.utcoffset() or ZERO, local.tzname() or "", (local.dst() or ZERO) > ZERO)


def _runs(changes: Sequence[Change]) -> Iterator[list[Change]]:
    """Those that follow one rule year by year together, and the others between as they come."""
    left: list[Change] = []
    start = 0
    while start < len(changes):
        run = _run(changes[start:])
        if len(run) < RULE_YEARS:
            left.append(changes[start])
            start += 1
            continue
        if left:
            yield left
            left = []
        yield run
        start += len(run)
    if left:
        yield left


def _run(changes: Sequence[Change]) -> list[Change]:
    """The longest beginning that comes every year, on one day by one rule, at one time."""
    run = [changes[0]]
    days = run[0].days
    for change in changes[1:]:
        clock, last = change.clock, run[-1].clock
        days = days & change.days
        if not days or clock.year != last.year + 1 or clock.time() != last.time():
            break
        run.append(change)
    return run


def _rule(run: Sequence[Change]) -> tuple[int, str]:
    """The month and the day that all share, "the last" rather than "the fourth"."""
    month, weekday, which = min(
        set.intersection(*(change.days for change in run)), key=lambda day: day[-1]
    )
    return month, f"{which}{weekday}"


def _observance(
    run: Sequence[Change], *, last_year: int | None = None
) -> TimezoneStandard | TimezoneDaylight:
    """One part of a VTIMEZONE: the first change of a run, and how the others follow."""
    first, last = run[0], run[-1]
    part = TimezoneDaylight() if first.after.is_daylight else TimezoneStandard()
    part.add("DTSTART", first.clock)
    part.add("TZOFFSETFROM", first.before)
    part.add("TZOFFSETTO", first.after.offset)
    part.add("TZNAME", first.after.name)
    if len(run) >= RULE_YEARS and len(_run(run)) == len(run):
        month, day = _rule(run)
        rule = {"FREQ": "YEARLY", "BYMONTH": month, "BYDAY": day}
        holds_on = last.clock.year == last_year
        part.add("RRULE", rule if holds_on else rule | {"UNTIL": last.at})
    elif len(run) > 1:
        part.add("RDATE", [change.clock for change in run[1:]])
    return part
