"""Times to propose out of free ones: the first of a length, on a quarter of an hour if it fits."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from itertools import islice

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


def starts(
    free: Iterable[Span], length: timedelta, parts: Sequence[Span] | None = None
) -> Iterator[datetime]:
    """The first start of a length in each free span, or in each part of the time within each.

    Parameters:
        free: spans in order and apart, as `free_slots` gives them.
        length: above zero.
        parts: spans in order and apart that are asked for, such as evenings; None for all time.
            What is no longer than a part lies within it; what is longer begins in it.

    A start is on a quarter of an hour where there is room for that, else as soon as there is room.

    >>> nine = datetime(2026, 8, 11, 9, 5, tzinfo=UTC)
    >>> hours = timedelta(hours=1)
    >>> [at.minute for at in starts([(nine, nine + 4 * hours)], 3 * hours)]
    [15]
    >>> [at.minute for at in starts([(nine, nine + 3 * hours)], 3 * hours)]
    [5]
    >>> evening = nine + 8 * hours, nine + 12 * hours
    >>> [at.hour for at in starts([(nine, nine + 12 * hours)], 3 * hours, [evening])]
    [17]
    """
    # A start may be the very last moment at which the length still fits.
    fitting = [(start, end - length + datetime.resolution) for start, end in free]
    wanted = fitting if parts is None else list(common(fitting, _starts_within(parts, length)))
    for first, last in wanted:
        if first < last:
            neat = quarter_after(first)
            yield neat if neat < last else in_utc(first)


def first_fit(
    free: Iterable[Span], length: timedelta, parts: Sequence[Span] | None = None
) -> Span | None:
    """The first time of a length within free spans, or None; see `starts`."""
    for start in islice(starts(free, length, parts), 1):
        return start, start + length
    return None


def common(one: Sequence[Span], other: Sequence[Span]) -> Iterator[Span]:
    """The time that lies in both of two rows of spans, each in order.

    >>> hours = [datetime(2026, 8, 11, hour, tzinfo=UTC) for hour in range(4)]
    >>> [(a.hour, b.hour) for a, b in common([(hours[0], hours[2])], [(hours[1], hours[3])])]
    [(1, 2)]
    """
    here = there = 0
    while here < len(one) and there < len(other):
        start, end = max(one[here][0], other[there][0]), min(one[here][1], other[there][1])
        if start < end:
            yield start, end
        if one[here][1] <= other[there][1]:
            here += 1
        else:
            there += 1


def longest(free: Iterable[Span]) -> timedelta:
    """The length of the longest of the spans, down to a whole quarter of an hour; zero of none.

    >>> nine = datetime(2026, 8, 11, 9, tzinfo=UTC)
    >>> longest([(nine, nine + timedelta(minutes=100))])
    datetime.timedelta(seconds=5400)
    """
    most = max((end - start for start, end in free), default=timedelta())
    return most // QUARTER * QUARTER


def _starts_within(parts: Sequence[Span], length: timedelta) -> list[Span]:
    """When a length may begin to lie within a part; anywhere in a part that is shorter."""
    return [
        (start, end - length + datetime.resolution if end - start >= length else end)
        for start, end in parts
    ]
