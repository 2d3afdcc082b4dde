"""When reminders are due, over the changes of clocks of 2026, against the zones' own rules.

The second reckoning is dateutil's, which reads the rules of a zone from a text of POSIX (IEEE Std
1003.1, "TZ") and not from the tables that zoneinfo has. The texts are the last lines of the files
of those zones in the IANA time zone database, with letters for the names of Lord Howe's times.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzstr

from coop.core.reminders import Lead, Quiet, after, days_before, evening_before, lead_of, next_at

DENVER, LISBON, LORD_HOWE = (
    ("America/Denver", "MST7MDT,M3.2.0,M11.1.0"),
    ("Europe/Lisbon", "WET0WEST,M3.5.0/1,M10.5.0"),
    # Its change is half an hour: 10:30 ahead, and 11:00 in summer.
    ("Australia/Lord_Howe", "LHST-10:30LHDT-11,M10.1.0,M4.1.0"),
)
#: The Sundays of 2026 on which the clocks of each change.
CHANGES = [
    (DENVER, date(2026, 3, 8)),
    (DENVER, date(2026, 11, 1)),
    (LISBON, date(2026, 3, 29)),
    (LISBON, date(2026, 10, 25)),
    (LORD_HOWE, date(2026, 4, 5)),
    (LORD_HOWE, date(2026, 10, 4)),
]
#: By the rules of each zone: the offset of the Saturday before, and of the Monday after.
OFFSETS = {
    ("America/Denver", 3): (-7.0, -6.0),
    ("America/Denver", 11): (-6.0, -7.0),
    ("Europe/Lisbon", 3): (0.0, 1.0),
    ("Europe/Lisbon", 10): (1.0, 0.0),
    ("Australia/Lord_Howe", 4): (11.0, 10.5),
    ("Australia/Lord_Howe", 10): (10.5, 11.0),
}
DAY = timedelta(days=1)


def by_offset(day, clock, hours_ahead):
    """A local time turned into UTC by hand."""
    return datetime.combine(day, clock, UTC) - timedelta(hours=hours_ahead)


@pytest.mark.parametrize(("zone", "sunday"), CHANGES)
@pytest.mark.parametrize("days_after", (0, 1, 2))  # the moment is on the Sunday, or beside it
def test_the_evening_before_is_at_18_00_by_the_clocks(zone, sunday, days_after):
    name, rules = zone
    ours, theirs = ZoneInfo(name), tzstr(rules)
    day = sunday + days_after * DAY
    moment = datetime.combine(day, time(8), theirs).astimezone(UTC)
    due = evening_before(18).of(moment, ours)
    saturday, monday = OFFSETS[name, sunday.month]
    assert due == by_offset(day - DAY, time(18), saturday if days_after == 0 else monday)
    assert due.astimezone(theirs).replace(tzinfo=None) == datetime.combine(day - DAY, time(18))


@pytest.mark.parametrize(("zone", "sunday"), CHANGES)
def test_a_day_before_keeps_the_time_of_day_and_24_hours_before_does_not(zone, sunday):
    ours = ZoneInfo(zone[0])
    moment = datetime.combine(sunday, time(12), ours)
    saturday = datetime.combine(sunday - DAY, time(12), ours).astimezone(UTC)
    before, since = OFFSETS[zone[0], sunday.month]
    assert days_before(1).of(moment, ours) == saturday
    real = Lead(minutes=-24 * 60).of(moment, ours)
    assert real - saturday == timedelta(hours=before - since)


@pytest.mark.parametrize(
    ("zone", "moment", "due"),
    (
        # Denver skips 2:00 to 3:00 on 8 March: 2:30 is taken as 3:30, which is 9:30 in UTC.
        ("America/Denver", (2026, 3, 9, 2, 30), datetime(2026, 3, 8, 9, 30, tzinfo=UTC)),
        # and has 1:30 twice on 1 November: the first is 7:30 in UTC, the second an hour later.
        ("America/Denver", (2026, 11, 2, 1, 30), datetime(2026, 11, 1, 7, 30, tzinfo=UTC)),
        # Lord Howe skips 2:00 to 2:30 on 4 October: 2:15 is taken as 2:45, 15:45 in UTC.
        ("Australia/Lord_Howe", (2026, 10, 5, 2, 15), datetime(2026, 10, 3, 15, 45, tzinfo=UTC)),
        # and has 1:45 twice on 5 April: the first is 14:45 in UTC.
        ("Australia/Lord_Howe", (2026, 4, 6, 1, 45), datetime(2026, 4, 4, 14, 45, tzinfo=UTC)),
    ),
)
def test_a_time_that_is_skipped_or_comes_twice(zone, moment, due):
    zone = ZoneInfo(zone)
    assert days_before(1).of(datetime(*moment, tzinfo=zone), zone) == due


def test_the_next_half_past_one_may_be_the_second_of_the_night():
    denver = ZoneInfo("America/Denver")
    first = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)
    second = first + timedelta(hours=1)
    assert next_at(time(1, 30), first, denver) == first
    assert next_at(time(1, 30), first + timedelta(minutes=10), denver) == second


# ---- Quiet hours ----------------------------------------------------------------------------
NIGHT = Quiet(time(21), time(7))
ZONE = ZoneInfo("America/Denver")
EARLY = datetime(2026, 8, 1, tzinfo=UTC)


def august(day, hour, minute=0):
    return datetime(2026, 8, day, hour, minute, tzinfo=ZONE)


def goes_out(due, until=None, earliest=EARLY, quiet=NIGHT):
    return quiet.outside(due, ZONE, until=until, earliest=earliest)


def test_mail_of_the_day_goes_out_when_it_is_due():
    assert goes_out(august(11, 7)) == august(11, 7)
    assert goes_out(august(11, 20, 59)) == august(11, 20, 59)


def test_mail_of_the_night_waits_for_the_morning():
    assert goes_out(august(11, 21)) == goes_out(august(12, 6, 59)) == august(12, 7)


def test_what_cannot_wait_for_the_morning_comes_in_the_evening_before():
    assert goes_out(august(12, 5), until=august(12, 6)) == august(11, 20, 59)


def test_mail_that_would_come_when_all_is_over_does_not_wait_for_that():
    assert goes_out(august(12, 5), until=august(12, 7)) == august(11, 20, 59)


def test_what_can_wait_no_longer_and_was_not_known_in_the_evening_comes_at_night():
    due = august(12, 5)
    assert goes_out(due, until=august(12, 6), earliest=august(12, 1)) == due


def test_hours_that_begin_when_they_end_are_none():
    assert goes_out(august(11, 23), quiet=Quiet(time(21), time(21))) == august(11, 23)


# ---- Codes ----------------------------------------------------------------------------------
@pytest.mark.parametrize("text", ("", "m", "d", "5", " 5m", "+5m", "1_0m", "-0m", "1d9:00", "1dx"))
def test_a_text_that_is_no_code_is_refused(text):
    with pytest.raises(ValueError, match=r"no lead|invalid literal|Invalid isoformat"):
        lead_of(text)


def test_a_lead_is_of_one_sort():
    with pytest.raises(ValueError, match="not both"):
        Lead(minutes=5, days=1)
    with pytest.raises(ValueError, match="days away"):
        Lead(clock=time(9))
    assert after() == Lead()
