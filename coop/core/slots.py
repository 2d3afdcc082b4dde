"""Free times between bookings, turnaround included."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, overload

from coop.core.spans import in_utc, joined, without

Minutes = tuple[int, int]
Times = tuple[datetime, datetime]


@overload
def free_slots(
    busy: Iterable[Minutes], hours: Iterable[Minutes], turnaround: int, window: Minutes
) -> list[Minutes]: ...
@overload
def free_slots(
    busy: Iterable[Times], hours: Iterable[Times], turnaround: timedelta, window: Times
) -> list[Times]: ...
def free_slots(
    busy: Iterable[Any], hours: Iterable[Any], turnaround: Any, window: Any
) -> list[Any]:
    """The times of a window in which a thing may be booked.

    Parameters:
        busy: spans in which it is out, in any order; they may overlap. Each is followed by the
            turnaround. Where a turnaround was made longer since, an end may come before its start:
            what counts is from the start until the end and the turnaround after it.
        hours: spans in which it may be out, in any order; those that touch or overlap are one.
        turnaround: the time after each booking in which nobody has it, 0 or more.
        window: the span that is asked about. Bookings after it count too, as far as the turnaround
            of a booking in the window would run into them.
        All in whole minutes, or all in aware datetimes with a timedelta.

    Returns: the longest spans, in order and apart, datetimes in UTC. A booking may be made from a
    to b just if one of them holds it: it then lies in the hours, no earlier turnaround runs into
    it, and its own ends by the next booking. Its own may run past the hours and the window.

    Raises: ValueError for a turnaround below zero or a datetime without a zone.

    >>> free_slots([(600, 660)], [(480, 1200)], 30, (0, 1440))
    [(480, 570), (690, 1200)]
    """
    if turnaround < type(turnaround)():
        raise ValueError(f"The turnaround {turnaround} is below zero.")
    first, last = _comparable(window)
    within = ((max(start, first), min(end, last)) for start, end in map(_comparable, hours))
    free_again = ((start, end + turnaround) for start, end in map(_comparable, busy))
    # A booking that ended less than a turnaround before the next would run into it.
    taken = ((start - turnaround, end) for start, end in free_again if start < end)
    return without(joined(within), joined(taken))


@overload
def earliest_start(free: Iterable[Minutes], length: int) -> int | None: ...
@overload
def earliest_start(free: Iterable[Times], length: timedelta) -> datetime | None: ...
def earliest_start(free: Iterable[Any], length: Any) -> Any:
    """The first start of a booking of a length, in spans as `free_slots` gives them, or None.

    >>> earliest_start([(480, 570), (690, 1200)], 120)
    690
    """
    return next((start for start, end in free if end - start >= length), None)


def _comparable(span: Any) -> Any:
    """Datetimes of one zone are compared, and added to, by their clocks; in UTC by real time."""
    start, end = span
    return (in_utc(start), in_utc(end)) if isinstance(start, datetime) else span
