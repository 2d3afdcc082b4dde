"""Bookings that must wait are moved later, and no more than they must.

No published source says how a line moves up: what is checked are laws that whoever waits would
hold dear, over made-up bookings, and one by hand.
"""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coop.core.shifts import QUARTER, Planned, shift_later, up_to_quarter

DAY = datetime(2026, 8, 13, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
ALWAYS = [(DAY, DAY + timedelta(days=400))]


@st.composite
def lines(draw):
    """Bookings after each other, none overlapping, on any minute."""
    planned, at = [], DAY
    for key in range(draw(st.integers(0, 8))):
        start = at + draw(st.integers(0, 600)) * MINUTE
        end = start + draw(st.integers(1, 3000)) * MINUTE
        planned.append(Planned(key, start, end, draw(st.integers(0, 400)) * MINUTE))
        at = planned[-1].free
    return planned


moments = st.integers(0, 20_000).map(lambda minutes: DAY + minutes * MINUTE)
daily = st.tuples(st.integers(0, 11), st.integers(13, 24)).map(
    lambda clock: [
        (DAY + timedelta(days=day, hours=clock[0]), DAY + timedelta(days=day, hours=clock[1]))
        for day in range(120)
    ]
)


def after(planned, moved):
    """The whole line once those that move have moved."""
    places = {each.key: each for each in planned} | {each.key: each for each in moved}
    return sorted(places.values(), key=lambda each: each.start)


@given(lines(), moments)
def test_nobody_meets_another_and_nobody_has_it_before_it_is_free(planned, free_from):
    line = after(planned, shift_later(planned, free_from, ALWAYS))
    for first, second in pairwise(line):
        assert first.free <= second.start
    assert all(each.start >= free_from for each in line)


@given(lines(), moments)
def test_nobody_is_moved_earlier_changes_length_or_passes_another(planned, free_from):
    moved = shift_later(planned, free_from, ALWAYS)
    before = {each.key: each for each in planned}
    for each in moved:
        assert each.start > before[each.key].start
        assert each.end - each.start == before[each.key].end - before[each.key].start
    assert [each.key for each in after(planned, moved)] == [each.key for each in planned]


@given(lines(), moments)
def test_nobody_waits_a_whole_quarter_longer_than_need_be(planned, free_from):
    free = free_from
    for each in shift_later(planned, free_from, ALWAYS):
        assert each.start - free < QUARTER
        free = each.free


@given(lines(), moments)
def test_who_need_not_move_stays(planned, free_from):
    moved = {each.key for each in shift_later(planned, free_from, ALWAYS)}
    free = free_from
    for each in planned:
        assert (each.key in moved) == (each.start < free)
        if each.key not in moved:
            break
        free = next(to.free for to in shift_later(planned, free_from, ALWAYS) if to.key == each.key)


@given(lines(), moments, daily)
def test_a_moved_booking_lies_in_the_hours_where_some_are_long_enough(planned, free_from, hours):
    longest = hours[0][1] - hours[0][0]
    for each in shift_later(planned, free_from, hours):
        if each.end - each.start <= longest - QUARTER:
            assert any(opens <= each.start and each.end <= closes for opens, closes in hours)


@given(moments)
def test_a_second_time_nothing_moves(free_from):
    planned = [Planned(1, DAY, DAY + timedelta(hours=3), timedelta(hours=1))]
    line = after(planned, shift_later(planned, free_from, ALWAYS))
    assert shift_later(line, free_from, ALWAYS) == []


def test_by_hand_two_move_and_the_third_stays():
    # Free at 10:06: 9 to 12 goes to 10:15 to 13:15, with an hour's turnaround 13 to 15 goes to
    # 14:15 to 16:15, free at 17:15; 18 to 19 can stay.
    hour = timedelta(hours=1)
    planned = [
        Planned(key, DAY + a * hour, DAY + b * hour, hour)
        for key, a, b in ((1, 9, 12), (2, 13, 15), (3, 18, 19))
    ]
    moved = shift_later(planned, DAY + 10 * hour + 6 * MINUTE, ALWAYS)
    assert [(each.key, each.start - DAY) for each in moved] == [
        (1, 10.25 * hour),
        (2, 14.25 * hour),
    ]


def test_what_no_hours_hold_is_moved_all_the_same():
    planned = [Planned(1, DAY, DAY + timedelta(hours=30), timedelta())]
    hours = [(DAY + timedelta(hours=8), DAY + timedelta(hours=20))]
    (moved,) = shift_later(planned, DAY + timedelta(hours=1), hours)
    assert moved.start == DAY + timedelta(hours=1)


@given(moments)
def test_a_quarter_is_the_next_one(moment):
    found = up_to_quarter(moment)
    assert found.minute % 15 == 0
    assert timedelta() <= found - moment < QUARTER
