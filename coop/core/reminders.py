"""When a reminder is due: so long before or after a moment, or at a time of a day near it.

All moments are aware. Hours are real hours; days and times of day are read off the clocks of the
co-op's zone, so that "the evening before at 18:00" is at 18:00 in the night of a change of clocks
too. A time that the clocks skip is taken as that much later; of one that comes twice the first
counts (as PEP 495 reads fold=0).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

MINUTES_IN_HOUR = 60
ONE_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Lead:
    """How far from its moment a reminder lies.

    `minutes`: real minutes, below zero for before. `days`: whole days by the calendar instead, at
    `clock` (to the minute), or at the moment's own time of day where that is None. Raises
    ValueError for both, and for a clock without days.
    """

    minutes: int = 0
    days: int | None = None
    clock: time | None = None

    def __post_init__(self) -> None:
        if self.days is not None and self.minutes:
            raise ValueError("A lead is so many minutes or so many days, not both.")
        if self.clock is not None and (self.days is None or self.clock.second):
            raise ValueError("A lead at a time of day is so many days away, to the minute.")

    @property
    def code(self) -> str:
        """A short text that keeps it, as `lead_of` reads it.

        >>> before(hours=48).code, evening_before(18).code, days_before(2).code
        ('-2880m', '-1d18:00', '-2d')
        """
        if self.days is None:
            return f"{self.minutes}m"
        return f"{self.days}d" if self.clock is None else f"{self.days}d{self.clock:%H:%M}"

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
    lead = _read(code)
    if lead.code != code:
        raise ValueError(f"{code} is no lead.")
    return lead


def _read(code: str) -> Lead:
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

        Mail of the quiet hours comes when they end. What would come too late then (at `until` or
        after) comes in the minute before they begin, unless that is before `earliest`; and what
        can do neither comes when it is due, since it cannot wait.
        """
        if self._is_quiet(due, zone):
            wakes = self._wakes(due, zone)
            if until is None or wakes < until:
                return wakes
            retires = self._retires(due, zone)
            if retires >= earliest:
                return retires
        return due.astimezone(UTC)

    def _is_quiet(self, moment: datetime, zone: ZoneInfo) -> bool:
        return self.holds(moment.astimezone(zone).time())

    def _wakes(self, due: datetime, zone: ZoneInfo) -> datetime:
        """The first end of quiet hours after `due` at which the clocks are past them."""
        ends = _moments(self.end, due, zone, days=(0, 1, 2))
        return min(end for end in ends if end >= due and not self._is_quiet(end, zone))

    def _retires(self, due: datetime, zone: ZoneInfo) -> datetime:
        """The last minute before `due` in which quiet hours have not begun yet."""
        starts = _moments(self.start, due, zone, days=(0, -1, -2))
        minutes = [start - ONE_MINUTE for start in starts]
        return max(
            minute for minute in minutes if minute < due and not self._is_quiet(minute, zone)
        )


def next_at(clock: time, moment: datetime, zone: ZoneInfo) -> datetime:
    """The first moment from `moment` on at which the clocks show `clock`, in UTC."""
    return min(then for then in _moments(clock, moment, zone, days=(0, 1)) if then >= moment)


def _moments(clock: time, near: datetime, zone: ZoneInfo, *, days: Iterable[int]) -> set[datetime]:
    """When the clocks show `clock`, in UTC, so many days from the day of `near`.

    Twice on a day on which they show it twice; where they skip it, that much later.
    """
    today = near.astimezone(zone).date()
    found: set[datetime] = set()
    for each in days:
        first = datetime.combine(today + timedelta(days=each), clock.replace(fold=0), zone)
        second = first.replace(fold=1)
        comes_twice = second.utcoffset() != first.utcoffset() and _is_shown(second, zone)
        found.update(then.astimezone(UTC) for then in (first, second)[: 1 + comes_twice])
    return found


def _is_shown(local: datetime, zone: ZoneInfo) -> bool:
    """Whether the clocks show this time at all: they skip an hour in spring."""
    return local.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == local.replace(tzinfo=None)


def put_off(attempts: int) -> timedelta:
    """How long to wait after so many tries that failed: 1 minute, then double, 4 hours at most.

    >>> [int(put_off(n).total_seconds() // 60) for n in (1, 2, 3, 8, 9, 99)]
    [1, 2, 4, 128, 240, 240]
    """
    return min(timedelta(minutes=2 ** (min(attempts, 10) - 1)), timedelta(hours=4))
