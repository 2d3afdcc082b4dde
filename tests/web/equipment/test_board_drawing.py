"""The arithmetic of the board's picture: nothing outside it, in order, without gaps, on every day.

Lengths of days: the zone database's rules for each zone, and the clocks of the day itself.
"""

from datetime import UTC, date, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coop.equipment.board_drawing import (
    WHOLE,
    Piece,
    day_pieces,
    draw,
    hour_marks,
    hour_moments,
    next_quarter,
    percent,
    sliced,
    window_of,
)

DENVER = ZoneInfo("America/Denver")
# Clocks that change at two, at midnight, by half an hour, the other way round, and never.
ZONES = (
    "America/Denver",
    "America/Santiago",
    "America/Havana",
    "Australia/Lord_Howe",
    "Europe/Dublin",
    "America/Phoenix",
)
SPRING, AUTUMN = date(2026, 3, 8), date(2026, 11, 1)  # Denver: second of March, first of November
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)

days = st.dates(date(2020, 1, 1), date(2030, 12, 31))
zones = st.sampled_from([ZoneInfo(name) for name in ZONES])
windows = st.builds(window_of, days, st.sampled_from([1, 7]), zones)
minutes = st.integers(-3 * 1440, 10 * 1440)


@given(windows, minutes, minutes)
def test_a_piece_lies_in_the_bar_and_later_is_further_right(window, one, other):
    first, second = sorted((window.start + one * MINUTE, window.start + other * MINUTE))
    assert 0 <= window.place(first) <= window.place(second) <= WHOLE
    piece = window.piece(first, second)
    is_on_it = first < second and second > window.start and first < window.end
    assert (piece is not None) == is_on_it


@given(windows, st.lists(minutes, min_size=2, max_size=12, unique=True))
def test_pieces_that_touch_in_time_touch_on_the_bar_and_add_up(window, offsets):
    moments = sorted(window.start + each * MINUTE for each in offsets)
    pieces = window.pieces(pairwise(moments))
    assert all(one.right == two.left for one, two in pairwise(pieces))
    whole = window.piece(moments[0], moments[-1])
    assert sum(piece.width for piece in pieces) == (whole.width if whole else 0)


@given(windows, minutes, st.integers(1, 4000), st.integers(0, 4000), st.integers(0, 600))
def test_a_booking_is_its_use_then_what_is_likely_longer_then_its_turnaround(
    window, start, likely, longer, turnaround
):
    starts = window.start + start * MINUTE
    expected = starts + likely * MINUTE
    ends = expected + longer * MINUTE
    free = ends + turnaround * MINUTE
    drawn = draw(window, starts, ends, free_at=free, expected_at=expected)
    if drawn is None:
        assert window.piece(starts, free) is None
    else:
        assert drawn.whole == window.piece(starts, free)
        assert sum(piece.width for piece in drawn.pieces) == drawn.whole.width


@given(windows)
def test_the_days_are_the_bar_in_order_each_as_long_as_it_is(window):
    pieces = [piece for _, piece in day_pieces(window)]
    assert [pieces[0].left, pieces[-1].right] == [0, WHOLE]
    assert all(one.right == two.left for one, two in pairwise(pieces))
    assert sum(piece.width for piece in pieces) == WHOLE


@given(windows, st.sampled_from([1, 3, 6]))
def test_a_mark_stands_where_the_clocks_show_its_hour(window, every):
    moments = hour_moments(window, every)
    assert moments == sorted(set(moments))
    brute = []
    moment = window.start
    while moment < window.end:  # every minute of the window, by its clocks
        local = moment.astimezone(window.zone)
        if local.minute == 0 and local.hour % every == 0:
            brute.append(moment)
        moment += MINUTE * 15
    assert moments == brute


@pytest.mark.parametrize(
    ("day", "hours", "shown"),
    [
        (SPRING, 23, [0, 1, *range(3, 24)]),
        (AUTUMN, 25, [0, 1, 1, *range(2, 24)]),
        (date(2026, 8, 11), 24, list(range(24))),
    ],
)
def test_a_day_on_which_clocks_change_has_the_hours_that_it_has(day, hours, shown):
    window = window_of(day, 1, DENVER)
    marks = hour_marks(window)
    assert window.hours == hours
    assert [mark.hour for mark in marks] == shown
    assert [mark.place for mark in marks] == [WHOLE * hour // hours for hour in range(hours)]


def test_noon_stands_left_of_the_middle_where_the_day_lost_an_hour_of_its_morning():
    places = {
        day: next(mark.place for mark in hour_marks(window_of(day, 1, DENVER)) if mark.hour == 12)
        for day in (SPRING, AUTUMN)
    }
    # 11 of 23 hours, and 13 of 25, worked by hand.
    assert places == {SPRING: WHOLE * 11 // 23, AUTUMN: WHOLE * 13 // 25}


@given(windows, st.lists(st.tuples(st.integers(0, 9000), st.integers(1, 600)), max_size=5))
def test_slices_are_the_free_time_and_none_crosses_a_cut(window, rows):
    spans, end = [], window.start
    for gap, length in rows:
        spans.append((end + gap * MINUTE, end + (gap + length) * MINUTE))
        end = spans[-1][1]
    cuts = hour_moments(window, 3)
    slices = sliced(spans, cuts)
    assert sum((b - a for a, b in slices), timedelta()) == sum((b - a for a, b in spans), DAY * 0)
    assert not any(start < cut < end for start, end in slices for cut in cuts)


@given(st.datetimes(timezones=st.just(UTC)))
def test_the_next_quarter_is_less_than_a_quarter_away(moment):
    quarter = next_quarter(moment)
    assert timedelta() <= quarter - moment < 15 * MINUTE
    assert (quarter.minute % 15, quarter.second, quarter.microsecond) == (0, 0, 0)


@given(st.integers(0, WHOLE))
def test_svg_reads_a_place_as_it_is(parts):
    assert percent(parts).endswith("%")
    assert round(float(percent(parts)[:-1]) * 1000) == parts


def test_a_letter_is_written_only_where_it_has_room():
    # An hour of a day on a phone: 290 px / 24 = 12.08 px, a letter needs 12.
    hour, half = Piece(0, WHOLE // 24), Piece(0, WHOLE // 48)
    assert (hour.holds(1, bar=290), half.holds(1, bar=290)) == (True, False)
