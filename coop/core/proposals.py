"""Times to propose out of free ones: the first of a length, on a quarter of an hour if it fits."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from coop.core.spans import in_utc

Span = tuple[datetime, datetime]
#: People say quarters of an hour. All zones in use are whole quarters away from UTC.
QUARTER = timedelta(minutes=15)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def quarter_after(moment: datetime) -> datetime:
    """The quarter of an hour that a moment is on, else the next one; in UTC.

    >>> quarter_after(datetime(2026, 8, 11, 9, 7, 30, tzinfo=UTC)).isoformat()
    '2026-08-11T09:15:00+00:00'
    """
    since = in_utc(moment) - _EPOCH
    return _EPOCH - (-since // QUARTER) * QUARTER


def first_fit(free: Iterable[Span], length: timedelta) -> Span | None:
    """The first time of a length within free spans, or None.

    Parameters:
        free: spans in order, as `free_slots` gives them.
        length: above zero.

    It starts on a quarter of an hour where the span has room for that, else as the span starts.

    >>> nine = datetime(2026, 8, 11, 9, 5, tzinfo=UTC)
    >>> start, _ = first_fit([(nine, nine + timedelta(hours=4))], timedelta(hours=3))
    >>> start.isoformat()
    '2026-08-11T09:15:00+00:00'
    >>> start, _ = first_fit([(nine, nine + timedelta(hours=3))], timedelta(hours=3))
    >>> start.isoformat()
    '2026-08-11T09:05:00+00:00'
    """
    for start, end in free:
        neat = quarter_after(start)
        if end - neat >= length:
            return neat, neat + length
        if end - start >= length:
            return in_utc(start), in_utc(start) + length
    return None


def longest(free: Iterable[Span]) -> timedelta:
    """The length of the longest of the spans, down to a whole quarter of an hour; zero of none.

    >>> nine = datetime(2026, 8, 11, 9, tzinfo=UTC)
    >>> longest([(nine, nine + timedelta(minutes=100))])
    datetime.timedelta(seconds=5400)
    """
    most = max((end - start for start, end in free), default=timedelta())
    return most // QUARTER * QUARTER
