"""Weekly hours and weekly repeats, on clocks that are put forward and back.

When clocks change is not ours: it comes from the IANA time zone database by Python's zoneinfo, and
what RFC 5545 prints stands beside its checks.
"""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import WEEKLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from coop.core.opening import open_spans, same_time_weekly
from tests.core.slow_opening import MINUTE, slow_open_minutes

DENVER = ZoneInfo("America/Denver")
NEW_YORK = ZoneInfo("America/New_York")
SUNDAY, MONDAY = 6, 0
ALL_WEEK = [(day, 0, 1440) for day in range(7)]
# Days about which the clocks of a zone change, in the IANA time zone database; Lord Howe changes by
# half an hour, Santiago at midnight, Kolkata never.
CHANGES = [
    ("America/Denver", datetime(2026, 3, 8, tzinfo=UTC)),
    ("America/Denver", datetime(2026, 11, 1, tzinfo=UTC)),
    ("Europe/Berlin", datetime(2026, 3, 29, tzinfo=UTC)),
    ("Europe/Berlin", datetime(2026, 10, 25, tzinfo=UTC)),
    ("Australia/Lord_Howe", datetime(2026, 4, 4, tzinfo=UTC)),
    ("Australia/Lord_Howe", datetime(2026, 10, 3, tzinfo=UTC)),
    ("America/Santiago", datetime(2026, 4, 4, tzinfo=UTC)),
    ("America/Santiago", datetime(2026, 9, 5, tzinfo=UTC)),
    ("Asia/Kolkata", datetime(2026, 3, 29, tzinfo=UTC)),
]


def clock(zone: ZoneInfo, text: str, fold: int = 0) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=zone, fold=fold).astimezone(UTC)


def open_in_denver(week, start: str, end: str):
    return open_spans(week, DENVER, (clock(DENVER, start), clock(DENVER, end)))


def test_hours_of_a_week_open_on_its_days():
    week = [(MONDAY, 8 * 60, 12 * 60), (MONDAY, 13 * 60, 20 * 60), (2, 9 * 60, 10 * 60)]
    assert open_in_denver(week, "2026-08-10", "2026-08-17") == [
        (clock(DENVER, "2026-08-10 08:00"), clock(DENVER, "2026-08-10 12:00")),
        (clock(DENVER, "2026-08-10 13:00"), clock(DENVER, "2026-08-10 20:00")),
        (clock(DENVER, "2026-08-12 09:00"), clock(DENVER, "2026-08-12 10:00")),
    ]


def test_hours_are_cut_to_the_window():
    week = [(MONDAY, 8 * 60, 20 * 60)]
    inside = "2026-08-10 09:30", "2026-08-10 11:00"
    assert open_in_denver(week, *inside) == [tuple(clock(DENVER, text) for text in inside)]
    assert open_in_denver(week, "2026-08-10 20:00", "2026-08-11 08:00") == []


def test_without_hours_the_whole_window_is_open():
    window = clock(DENVER, "2026-03-01"), clock(DENVER, "2026-12-01")
    assert open_spans([], DENVER, window) == [window]
    assert open_spans([], DENVER, window[::-1]) == []
    assert open_spans(ALL_WEEK, DENVER, window[::-1]) == []


def test_whole_days_in_a_row_are_one_span_across_every_change():
    window = clock(DENVER, "2026-03-01"), clock(DENVER, "2026-12-01")
    assert open_spans(ALL_WEEK, DENVER, window) == [window]


def test_a_day_that_ends_at_midnight_goes_on_into_the_next():
    week = [(SUNDAY, 22 * 60, 1440), (MONDAY, 0, 60)]
    assert open_in_denver(week, "2026-08-09", "2026-08-12") == [
        (clock(DENVER, "2026-08-09 22:00"), clock(DENVER, "2026-08-10 01:00"))
    ]
    [(_, end)] = open_in_denver([(SUNDAY, 22 * 60, 1440)], "2026-08-09", "2026-08-12")
    assert end == clock(DENVER, "2026-08-10 00:00")


@pytest.mark.parametrize(
    ("day", "hours", "start", "end", "lasts"),
    [
        # Clocks went from 2:00 MST to 3:00 MDT on 8 March 2026: the change is at 9:00 UTC.
        ("2026-03-08", (150, 240), "2026-03-08T09:00Z", "2026-03-08T10:00Z", 60),
        ("2026-03-08", (60, 150), "2026-03-08T08:00Z", "2026-03-08T09:00Z", 60),
        ("2026-03-08", (60, 240), "2026-03-08T08:00Z", "2026-03-08T10:00Z", 120),
        ("2026-03-08", (0, 1440), "2026-03-08T07:00Z", "2026-03-09T06:00Z", 23 * 60),
        # Clocks went from 2:00 MDT to 1:00 MST on 1 November 2026: the change is at 8:00 UTC.
        ("2026-11-01", (60, 180), "2026-11-01T07:00Z", "2026-11-01T10:00Z", 180),
        ("2026-11-01", (60, 120), "2026-11-01T07:00Z", "2026-11-01T09:00Z", 120),
        ("2026-11-01", (0, 1440), "2026-11-01T06:00Z", "2026-11-02T07:00Z", 25 * 60),
    ],
)
def test_hours_on_the_days_of_a_change_in_denver(day, hours, start, end, lasts):
    midnight = datetime.fromisoformat(day).replace(tzinfo=UTC)
    found = open_spans([(SUNDAY, *hours)], DENVER, (midnight, midnight + timedelta(days=2)))
    assert found == [(datetime.fromisoformat(start), datetime.fromisoformat(end))]
    assert found[0][1] - found[0][0] == timedelta(minutes=lasts)


def test_hours_that_the_clocks_leave_out_whole_do_not_open():
    assert open_in_denver([(SUNDAY, 125, 175)], "2026-03-08", "2026-03-09") == []


def test_a_time_that_is_shown_twice_opens_twice():
    assert open_in_denver([(SUNDAY, 75, 105)], "2026-11-01", "2026-11-02") == [
        (clock(DENVER, f"2026-11-01 {start}", fold), clock(DENVER, f"2026-11-01 {end}", fold))
        for fold in (0, 1)
        for start, end in [("01:15", "01:45")]
    ]


minutes = st.sampled_from([0, 1440]) | st.integers(0, 240) | st.integers(0, 1440)
rows = st.tuples(st.integers(0, 6), minutes, minutes).filter(lambda row: row[1] < row[2])


@given(
    st.sampled_from(CHANGES),
    st.lists(rows, min_size=1, max_size=9),
    st.integers(-600, 600),
    st.integers(0, 2500),
)
def test_a_minute_is_in_a_span_just_where_the_clocks_show_the_hours(change, week, after, lasts):
    zone, day = ZoneInfo(change[0]), change[1]
    # The day's own rows are what a change is about.
    week = [*week, *((day.weekday(), start, end) for _, start, end in week)]
    window = day + after * MINUTE, day + (after + lasts) * MINUTE
    spans = open_spans(week, zone, window)
    found = [
        start + number * MINUTE for start, end in spans for number in range((end - start) // MINUTE)
    ]
    assert found == slow_open_minutes(week, zone, window)
    assert all(start < end for start, end in spans)
    assert all(before[1] < following[0] for before, following in pairwise(spans))


def test_every_window_about_a_change_holds_it():
    # A change is looked for by halving, wherever the window starts; half a second is no minute.
    for seconds in range(0, 7200, 601):
        start = clock(DENVER, "2026-03-08 01:00") + timedelta(seconds=seconds + 0.5)
        [(opens, _)] = open_spans([(SUNDAY, 150, 300)], DENVER, (start, start + timedelta(days=1)))
        assert opens == max(start, datetime(2026, 3, 8, 9, tzinfo=UTC))


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ((7, 0, 60), "Weekday 7"),
        ((-1, 0, 60), "Weekday -1"),
        ((0, 60, 60), "60 to 60"),
        ((0, 120, 60), "120 to 60"),
        ((0, -1, 60), "-1 to 60"),
        ((0, 60, 1441), "60 to 1441"),
    ],
)
def test_a_row_that_is_no_hours_is_refused(row, says):
    with pytest.raises(ValueError, match=says):
        open_in_denver([row], "2026-08-10", "2026-08-11")


def test_a_window_without_a_zone_is_refused():
    naive = datetime(2026, 8, 10), datetime(2026, 8, 11)  # noqa: DTZ001 - what is refused
    with pytest.raises(ValueError, match="names no zone"):
        open_spans(ALL_WEEK, DENVER, naive)


def test_the_weekly_example_of_rfc_5545():
    # RFC 5545, section 3.8.5.3, "Weekly for 10 occurrences" from 2 September 1997 at 9:00 in New
    # York: 9:00 AM EDT on September 2, 9, 16, 23, 30 and October 7, 14, 21; 9:00 AM EST on October
    # 28 and November 4 (from memory).
    starts = same_time_weekly(clock(NEW_YORK, "1997-09-02 09:00"), NEW_YORK, 10)
    summer = [(9, 2), (9, 9), (9, 16), (9, 23), (9, 30), (10, 7), (10, 14), (10, 21)]
    winter = [(10, 28), (11, 4)]
    assert starts == [
        *(datetime(1997, month, day, 13, tzinfo=UTC) for month, day in summer),
        *(datetime(1997, month, day, 14, tzinfo=UTC) for month, day in winter),
    ]


@pytest.mark.parametrize(
    ("first", "means"),
    [
        # RFC 5545, section 3.3.5: 20071104T013000 in New York is 1:30 EDT, and 20070311T023000 is
        # 3:30 EDT, one hour after 1:30 EST (from memory).
        ("2007-10-28 01:30", "2007-11-04T01:30-04:00"),
        ("2007-03-04 02:30", "2007-03-11T03:30-04:00"),
    ],
)
def test_times_shown_twice_or_never_are_read_as_rfc_5545_says(first, means):
    starts = same_time_weekly(clock(NEW_YORK, first), NEW_YORK, 2)
    assert starts[1] == datetime.fromisoformat(means)


def test_the_first_start_stays_itself_and_a_time_left_out_comes_back_the_week_after():
    second = clock(DENVER, "2026-11-01 01:30", fold=1)
    assert same_time_weekly(second, DENVER, 1) == [second]
    later = same_time_weekly(clock(DENVER, "2026-03-01 02:30"), DENVER, 3)
    assert later[2] == clock(DENVER, "2026-03-15 02:30")
    assert {start.tzinfo for start in later} == {UTC}


@given(
    st.sampled_from([zone for zone, _ in CHANGES]),
    st.datetimes(datetime(2025, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001 - bounds
    st.integers(1, 60),
)
def test_weekly_starts_are_those_of_dateutil(zone, start, weeks):
    # python-dateutil's rrule, which repeats by the clocks as well.
    start = start.replace(microsecond=0)
    shown = start.astimezone(ZoneInfo(zone)).replace(fold=0)
    theirs = [each.astimezone(UTC) for each in rrule(WEEKLY, dtstart=shown, count=weeks)]
    assert same_time_weekly(start, ZoneInfo(zone), weeks)[1:] == theirs[1:]


def test_no_week_is_refused():
    with pytest.raises(ValueError, match="0 weeks"):
        same_time_weekly(datetime(2026, 8, 10, tzinfo=UTC), DENVER, 0)
