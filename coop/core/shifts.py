"""Bookings moved later, no more than they must, because the one before them runs longer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

Span = tuple[datetime, datetime]
#: Nobody comes for a canner at 14:07: a moved start is a quarter of an hour. Judgement, no source.
QUARTER = timedelta(minutes=15)


@dataclass(frozen=True)
class Planned:
    """A booking to come: from `start` to `end`, then `turnaround` in which nobody has the thing."""

    key: int
    start: datetime
    end: datetime
    turnaround: timedelta

    @property
    def free(self) -> datetime:
        """When the next may have the thing."""
        return self.end + self.turnaround

    def from_(self, start: datetime) -> Planned:
        """The same length from another start."""
        return replace(self, start=start, end=start + (self.end - self.start))


def shift_later(
    planned: Iterable[Planned], free_from: datetime, hours: Sequence[Span]
) -> list[Planned]:
    """Where the bookings to come must move when a thing is free only from a moment on.

    Parameters:
        planned: what comes after, in any order, none overlapping another.
        free_from: when the thing is free again, the turnaround of the one before included.
        hours: spans in which the thing may be out, far enough ahead; in order and apart.

    Returns: those that move, in the order of their starts, each of its old length. The first that
    can stay stops it: those after it stay too. A new start is on a quarter of an hour and within
    the hours; where no span of them is long enough, right away, whatever the hours.

    >>> day = datetime(2026, 8, 13, tzinfo=UTC)
    >>> hour = timedelta(hours=1)
    >>> after = [Planned(7, day + 9 * hour, day + 12 * hour, hour)]
    >>> [
    ...     each.start.hour
    ...     for each in shift_later(after, day + 10.1 * hour, [(day, day + 24 * hour)])
    ... ]
    [10]
    """
    moved = []
    for each in sorted(planned, key=lambda booking: booking.start):
        if each.start >= free_from:
            break
        later = each.from_(_place(each.end - each.start, free_from, hours))
        moved.append(later)
        free_from = later.free
    return moved


def _place(length: timedelta, free_from: datetime, hours: Sequence[Span]) -> datetime:
    soonest = up_to_quarter(free_from)
    for opens, closes in hours:
        start = up_to_quarter(max(soonest, opens))
        if start + length <= closes:
            return start
    return soonest


def up_to_quarter(moment: datetime) -> datetime:
    """The moment, or the next quarter of an hour after it, in UTC.

    >>> str(up_to_quarter(datetime(2026, 8, 13, 10, 6, tzinfo=UTC)))
    '2026-08-13 10:15:00+00:00'
    """
    # Every zone in use today is whole quarters of an hour from UTC.
    since = moment.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)
    return datetime(1970, 1, 1, tzinfo=UTC) + -(-since // QUARTER) * QUARTER
