"""Free times the slow, obvious way: minute by minute, and a checker of spans however found."""

from collections.abc import Sequence
from itertools import pairwise

Span = tuple[int, int]


def slow_may_book(
    booking: Span, busy: Sequence[Span], hours: Sequence[Span], turnaround: int, window: Span
) -> bool:
    """Whether nothing stands against a booking, in each minute of it and of its turnaround."""
    start, end = booking
    taken = {minute for first, last in busy for minute in range(first, last + turnaround)}
    may_be_out = {minute for first, last in hours for minute in range(first, last)}
    out = range(start, end)
    return (
        not any(minute in taken for minute in range(start, end + turnaround))
        and all(minute in may_be_out for minute in out)
        and all(minute in range(*window) for minute in out)
    )


def check_spans(spans: Sequence[Span]) -> None:
    """Fail unless spans hold some time each, and stand in order with time between them."""
    assert all(start < end for start, end in spans)
    assert all(before[1] < after[0] for before, after in pairwise(spans))
