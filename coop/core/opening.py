"""Weekly hours on the clocks of a zone, and the same time week after week."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import pairwise

from coop.core.spans import in_utc, joined

Span = tuple[datetime, datetime]
#: Weekday (0 is Monday), from minute, to minute; minutes after midnight, 1440 the next midnight.
Row = tuple[int, int, int]
DAYS_IN_WEEK = 7
MINUTES_IN_DAY = 1440
DAY = timedelta(days=1)


def open_spans(week: Sequence[Row], zone: tzinfo, window: Span) -> list[Span]:
    """The spans of a window in which the clocks of a zone show a time of the week's hours.

    Parameters:
        week: rows (weekday, from minute, to minute), in any order; they may overlap. None at all
            means that no hours were set: the whole window.
        zone: whose clocks.
        window: a start and an end, aware.

    Returns: spans in UTC, in order and apart; hours that touch are one span, across midnight too.
    Where clocks are put forward, hours that begin in the time left out begin at the change. Where
    they are put back, the time that is shown twice is open twice: 1:00 to 3:00 lasts three hours.

    Raises: ValueError for a row that is none, and for a window without a zone.

    >>> from zoneinfo import ZoneInfo
    >>> day = datetime(2026, 8, 10, tzinfo=UTC), datetime(2026, 8, 11, tzinfo=UTC)
    >>> [(start, end)] = open_spans([(0, 8 * 60, 9 * 60)], ZoneInfo("America/Denver"), day)
    >>> start.isoformat(), end.isoformat()
    ('2026-08-10T14:00:00+00:00', '2026-08-10T15:00:00+00:00')
    """
    for row in week:
        _check(row)
    first, last = in_utc(window[0]), in_utc(window[1])
    if not week:
        return joined([(first, last)])
    return joined(
        (max(start, steady_from), min(end, steady_to))
        for steady_from, steady_to in _steady(zone, first, last)
        for start, end in _as_shown(week, _offset(zone, steady_from), steady_from, steady_to)
    )


def same_time_weekly(start: datetime, zone: tzinfo, weeks: int) -> list[datetime]:
    """The same time on the clocks, week after week: the starts of a booking that is repeated.

    Parameters:
        start: the first one, aware.
        zone: whose clocks.
        weeks: how many starts in all, the first with them; 1 or more.

    Returns: the starts in UTC. A booking that is repeated keeps its start on the clocks and its
    length in real hours: three hours stay three hours, also where the clocks change meanwhile.

    Raises: ValueError for a start without a zone, or no week at all.

    Source: RFC 5545, "Internet Calendaring and Scheduling Core Object Specification", section
    3.3.5: a time that the clocks leave out is counted with the offset from before the change (2:30
    becomes 3:30), and one that they show twice is the first of the two.

    >>> from zoneinfo import ZoneInfo
    >>> october = datetime(2026, 10, 28, 16, tzinfo=UTC)  # 10:00 in Denver
    >>> [each.hour for each in same_time_weekly(october, ZoneInfo("America/Denver"), 2)]
    [16, 17]
    """
    if weeks < 1:
        raise ValueError(f"{weeks} weeks: a booking is made in one week or more.")
    # Weeks added to a time in a zone are weeks on its clocks.
    shown = in_utc(start).astimezone(zone)
    later = ((shown + timedelta(weeks=week)).astimezone(UTC) for week in range(1, weeks))
    return [in_utc(start), *later]


def _check(row: Row) -> None:
    weekday, start, end = row
    if not 0 <= weekday < DAYS_IN_WEEK:
        raise ValueError(f"Weekday {weekday} is not between 0, a Monday, and 6.")
    if not 0 <= start < end <= MINUTES_IN_DAY:
        raise ValueError(f"Minutes {start} to {end} are no hours of a day.")


def _offset(zone: tzinfo, moment: datetime) -> timedelta:
    """How far the clocks of a zone are ahead of UTC."""
    return moment.astimezone(zone).utcoffset() or timedelta()


def _as_shown(
    week: Sequence[Row], offset: timedelta, first: datetime, last: datetime
) -> Iterator[Span]:
    """The hours of the days about a span, on clocks that never change."""
    day: date = (first + offset).date()
    while day <= (last + offset).date():
        midnight = datetime.combine(day, time(), UTC) - offset
        for weekday, start, end in week:
            if weekday == day.weekday():
                yield midnight + timedelta(minutes=start), midnight + timedelta(minutes=end)
        day += DAY


def _steady(zone: tzinfo, first: datetime, last: datetime) -> Iterable[Span]:
    """The span in parts in which the clocks do not change. No zone changes them twice in a day."""
    bounds = [first]
    moment = first
    while moment < last:
        following = min(moment + DAY, last)
        if _offset(zone, moment) != _offset(zone, following):
            bounds.append(_change(zone, moment, following))
        moment = following
    return pairwise([*bounds, last])


def _change(zone: tzinfo, before: datetime, after: datetime) -> datetime:
    """The moment from which the clocks show the later offset, found by halving."""
    offset = _offset(zone, before)
    while after - before > datetime.resolution:
        middle = before + (after - before) // 2
        if _offset(zone, middle) == offset:
            before = middle
        else:
            after = middle
    return after
