"""Free times of a thing, on examples worked by hand."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from coop.core.slots import earliest_start, free_slots

DAY = (0, 24 * 60)
OPEN = [(8 * 60, 20 * 60)]


def test_a_thing_that_nobody_booked_is_free_in_its_hours():
    assert free_slots([], OPEN, 30, DAY) == OPEN


def test_a_turnaround_is_kept_clear_before_a_booking_and_after_it():
    free = free_slots([(600, 660)], OPEN, 30, DAY)
    assert free == [(480, 570), (690, 1200)]


def test_nothing_is_free_between_bookings_a_turnaround_apart():
    # 11:00 + 30 to 12:00 - 30 holds no time.
    assert free_slots([(600, 660), (720, 780)], [(600, 780)], 30, DAY) == []
    assert free_slots([(600, 660), (721, 780)], [(600, 780)], 30, DAY) == [(690, 691)]


def test_bookings_before_and_after_the_window_still_hold_its_edges():
    free = free_slots([(-60, -10), (1450, 1500)], [(-600, 2000)], 30, DAY)
    assert free == [(20, 1420)]


def test_the_turnaround_of_a_new_booking_may_run_past_hours_and_window():
    assert free_slots([], [(480, 2000)], 90, DAY) == [(480, 1440)]
    assert free_slots([(1290, 1300)], OPEN, 90, DAY) == OPEN


def test_overlapping_bookings_in_any_order_are_cut_out_once():
    assert free_slots([(700, 900), (600, 760), (650, 680)], OPEN, 0, DAY) == [
        (480, 600),
        (900, 1200),
    ]


def test_a_long_booking_goes_on_behind_a_short_one_within_it():
    assert free_slots([(500, 1000), (510, 520)], OPEN, 10, DAY) == [(480, 490), (1010, 1200)]


def test_one_booking_reaches_over_several_hours():
    hours = [(0, 100), (150, 200), (250, 300)]
    assert free_slots([(90, 260)], hours, 0, DAY) == [(0, 90), (260, 300)]


def test_an_end_before_its_start_counts_with_the_turnaround_after_it():
    # From 10:00, free again at 12:00: with three hours of turnaround it "ended" at 9:00.
    assert free_slots([(600, 540)], [(0, 1440)], 180, DAY) == [(0, 420), (720, 1440)]


def test_what_takes_no_time_stands_in_nobodys_way():
    assert free_slots([(600, 600)], OPEN, 0, DAY) == OPEN
    assert free_slots([(600, 560)], OPEN, 30, DAY) == OPEN
    assert free_slots([(600, 600)], OPEN, 15, DAY) == [(480, 585), (615, 1200)]


def test_hours_that_touch_or_overlap_are_one():
    assert free_slots([], [(700, 900), (480, 720), (900, 960)], 30, DAY) == [(480, 960)]


@pytest.mark.parametrize(("hours", "window"), [([], DAY), (OPEN, (600, 600)), (OPEN, (900, 600))])
def test_no_hours_or_no_window_and_nothing_is_free(hours, window):
    assert free_slots([], hours, 30, window) == []


def test_a_turnaround_below_zero_is_refused():
    with pytest.raises(ValueError, match="The turnaround -5 is below zero"):
        free_slots([], OPEN, -5, DAY)
    window = datetime(2026, 8, 10, tzinfo=UTC), datetime(2026, 8, 11, tzinfo=UTC)
    with pytest.raises(ValueError, match="below zero"):
        free_slots([], [], timedelta(minutes=-5), window)


def test_a_time_without_a_zone_is_refused():
    naive = datetime(2026, 8, 10), datetime(2026, 8, 11)  # noqa: DTZ001 - what is refused
    with pytest.raises(ValueError, match="names no zone"):
        free_slots([], [naive], timedelta(), naive)


def test_a_turnaround_lasts_its_real_hours_where_the_clocks_change():
    # US daylight time ended at 2:00 on 1 November 2026 (IANA time zone database, tzdata).
    denver = ZoneInfo("America/Denver")

    def clock(hour: int, fold: int = 0) -> datetime:
        return datetime(2026, 11, 1, hour, tzinfo=denver, fold=fold)

    window = clock(0), clock(6)
    free = free_slots([(clock(0), clock(1))], [window], timedelta(hours=2), window)
    # Two hours after the first 1:00 it is 2:00, for 1:00 comes twice.
    assert free == [(datetime(2026, 11, 1, 9, tzinfo=UTC), datetime(2026, 11, 1, 13, tzinfo=UTC))]
    assert {moment.tzinfo for span in free for moment in span} == {UTC}
    assert free[0][0] == clock(2).astimezone(UTC)


def test_the_earliest_start_is_in_the_first_span_that_is_long_enough():
    free = [(480, 570), (690, 1200)]
    assert [earliest_start(free, length) for length in (90, 91, 510, 511)] == [480, 690, 690, None]
    assert earliest_start([], 1) is None


def test_the_earliest_start_of_real_times():
    start = datetime(2026, 8, 10, 14, tzinfo=UTC)
    free = [(start, start + timedelta(hours=3))]
    assert earliest_start(free, timedelta(hours=3)) == start
    assert earliest_start(free, timedelta(hours=4)) is None
