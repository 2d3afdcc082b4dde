"""Free times against a grid of minutes: every booking that may be made, and no other."""

from datetime import UTC, datetime, timedelta
from itertools import combinations
from typing import NamedTuple

from hypothesis import given
from hypothesis import strategies as st

from coop.core.slots import earliest_start, free_slots
from tests.core.slow_slots import Span, check_spans, slow_may_book

FIRST, LAST = -4, 22
MIDNIGHT = datetime(2026, 8, 10, tzinfo=UTC)


class Asked(NamedTuple):
    """What `free_slots` is asked, in minutes."""

    busy: list[Span]
    hours: list[Span]
    turnaround: int
    window: Span


minute = st.integers(FIRST, LAST)
span = st.tuples(minute, minute).map(lambda ends: (min(ends), max(ends)))
# Some end before they start.
any_span = st.builds(lambda start, lasts: (start, start + lasts), minute, st.integers(-9, 9))
asked = st.builds(
    Asked,
    st.lists(any_span, max_size=4) | st.lists(span, max_size=6),
    st.lists(span, max_size=4) | st.just([(FIRST, LAST)]),
    st.integers(0, 6),
    span,
)


def bookings() -> list[Span]:
    return list(combinations(range(FIRST - 1, LAST + 2), 2))


def holds(free: list[Span], booking: Span) -> bool:
    return any(start <= booking[0] and booking[1] <= end for start, end in free)


def at(minutes: Span) -> tuple[datetime, datetime]:
    start, end = (MIDNIGHT + timedelta(minutes=minute) for minute in minutes)
    return start, end


@given(asked)
def test_a_booking_may_be_made_just_where_a_span_holds_it(asked: Asked) -> None:
    free = free_slots(*asked)
    for booking in bookings():
        assert holds(free, booking) == slow_may_book(booking, *asked)


@given(asked)
def test_spans_are_in_order_with_time_between_and_none_can_be_longer(asked: Asked) -> None:
    free = free_slots(*asked)
    check_spans(free)
    for start, end in free:
        assert slow_may_book((start, end), *asked)
        assert not slow_may_book((start - 1, end), *asked)
        assert not slow_may_book((start, end + 1), *asked)


@given(asked)
def test_real_times_are_free_as_minutes_are(asked: Asked) -> None:
    busy, hours, turnaround, window = asked
    free = free_slots(
        [at(each) for each in busy],
        [at(each) for each in hours],
        timedelta(minutes=turnaround),
        at(window),
    )
    assert free == [at(each) for each in free_slots(*asked)]


@given(asked, st.randoms(use_true_random=False))
def test_the_order_of_what_is_given_does_not_matter(asked: Asked, chance) -> None:
    busy, hours = asked.busy.copy(), asked.hours.copy()
    chance.shuffle(busy)
    chance.shuffle(hours)
    assert free_slots(busy, hours, asked.turnaround, asked.window) == free_slots(*asked)


@given(asked)
def test_booking_a_free_span_whole_leaves_nothing_of_it(asked: Asked) -> None:
    free = free_slots(*asked)
    for number, taken in enumerate(free):
        left = free_slots([*asked.busy, taken], *asked[1:])
        assert not any(start < taken[1] and taken[0] < end for start, end in left)
        assert len(left) <= len(free) - 1
        assert all(holds(free[:number] + free[number + 1 :], each) for each in left)


@given(asked, st.integers(1, 12))
def test_the_earliest_start_is_the_first_that_the_grid_allows(asked: Asked, length: int) -> None:
    starts = range(FIRST - 1, LAST + 1)
    allowed = [start for start in starts if slow_may_book((start, start + length), *asked)]
    assert earliest_start(free_slots(*asked), length) == min(allowed, default=None)
