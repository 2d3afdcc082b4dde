"""When a reminder is due: so long before or after a moment, or at a time of a day near it.

All moments are aware. Hours are real hours; days and times of day are read off the clocks of the
co-op's zone, so that "the evening before at 18:00" is at 18:00 in the night of a change of clocks
too. A time that the clocks skip is taken as that much later; of one that comes twice the first
counts (as PEP 495 reads fold=0).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

MINUTES_IN_HOUR, MINUTES_IN_DAY = 60, 1440
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Lead:
    """How far from its moment a reminder lies.

    `minutes`: real minutes, below zero for before. `days`: whole days by the calendar instead, at
    `clock`, or at the moment's own time of day where that is None.
    """

    minutes: int = 0
    days: int | None = None
    clock: time | None = None

    @property
    def code(self) -> str:
        """A short text that keeps it, as `lead_of` reads it.

        >>> before(hours=48).code, evening_before(18).code, days_before(2).code
        ('-2880m', '-1d18:00', '-2d')
        """
        if self.days is None:
            return f"{self.minutes}m"
        return f"{self.days}d{self.clock:%H:%M}" if self.clock else f"{self.days}d"

    def of(self, moment: datetime, zone: ZoneInfo) -> datetime:
        """The moment, in UTC, at which the reminder of `moment` is due.

        >>> denver = ZoneInfo("America/Denver")
        >>> eight = datetime(2026, 8, 15, 8, 0, tzinfo=denver)
        >>> evening_before(18).of(eight, denver).astimezone(denver).isoformat()
        '2026-08-14T18:00:00-06:00'
        """
        if self.days is None:
            return moment.astimezone(UTC) + timedelta(minutes=self.minutes)
        local = moment.astimezone(zone)
        day = local.date() + timedelta(days=self.days)
        clock = self.clock or local.time()
        return datetime.combine(day, clock.replace(fold=0), zone).astimezone(UTC)


def before(*, hours: int = 0, minutes: int = 0) -> Lead:
    """So many real hours and minutes before."""
    return Lead(minutes=-(hours * MINUTES_IN_HOUR + minutes))


def after(*, hours: int = 0, minutes: int = 0) -> Lead:
    """So many real hours and minutes after; nothing said, at once."""
    return Lead(minutes=hours * MINUTES_IN_HOUR + minutes)


def days_before(days: int, hour: int | None = None) -> Lead:
    """So many days before by the calendar, at a full hour or at the same time of day."""
    return Lead(days=-days, clock=None if hour is None else time(hour))


def days_after(days: int, hour: int | None = None) -> Lead:
    """So many days after by the calendar, at a full hour or at the same time of day."""
    return Lead(days=days, clock=None if hour is None else time(hour))


def evening_before(hour: int) -> Lead:
    """The day before, at a full hour."""
    return days_before(1, hour)


def lead_of(code: str) -> Lead:
    """The lead that a code keeps. Raises ValueError for any other text.

    >>> lead_of("-1d18:00") == evening_before(18), lead_of("720m") == after(hours=12)
    (True, True)
    """
    if code.endswith("m"):
        return Lead(minutes=int(code[:-1]))
    days, _, clock = code.partition("d")
    return Lead(days=int(days), clock=time.fromisoformat(clock) if clock else None)


@dataclass(frozen=True)
class Quiet:
    """The hours in which a member wants no mail, by the clock; they may run over midnight."""

    start: time
    end: time

    def holds(self, clock: time) -> bool:
        """Whether a time of day lies within: the start does, the end does not."""
        if self.start <= self.end:
            return self.start <= clock < self.end
        return clock >= self.start or clock < self.end

    def outside(
        self, due: datetime, zone: ZoneInfo, *, until: datetime | None, earliest: datetime
    ) -> datetime:
        """The moment for mail that is due at `due`, in UTC.

        Mail of the quiet hours comes when they end. What would come too late then (after `until`)
        comes just before they begin, unless that is before `earliest`; and what can do neither
        comes when it is due, since it cannot wait.
        """
        local = due.astimezone(zone)
        if not self.holds(local.time()):
            return due
        wakes = next_at(self.end, due, zone)
        if until is None or wakes <= until:
            return wakes
        retires = _last_at(self.start, due, zone)
        return retires if retires >= earliest else due


def next_at(clock: time, moment: datetime, zone: ZoneInfo) -> datetime:
    """The first moment from `moment` on at which the clocks show `clock`, in UTC."""
    day = moment.astimezone(zone).date()
    then = datetime.combine(day, clock, zone).astimezone(UTC)
    if then >= moment:
        return then
    return datetime.combine(day + ONE_DAY, clock, zone).astimezone(UTC)


def _last_at(clock: time, moment: datetime, zone: ZoneInfo) -> datetime:
    day = moment.astimezone(zone).date()
    then = datetime.combine(day, clock, zone).astimezone(UTC)
    if then <= moment:
        return then
    return datetime.combine(day - ONE_DAY, clock, zone).astimezone(UTC)


def put_off(attempts: int) -> timedelta:
    """How long to wait after so many tries that failed: 1 minute, then double, 4 hours at most.

    >>> [int(put_off(n).total_seconds() // 60) for n in (1, 2, 3, 8, 9, 99)]
    [1, 2, 4, 128, 240, 240]
    """
    return min(timedelta(minutes=2 ** (min(attempts, 10) - 1)), timedelta(hours=4))
