"""What stands in a calendar for one matter, read back by icalendar."""

import unicodedata
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Calendar

from coop.core.reminders import before, days_before, evening_before
from coop.notices.calendar.calendars import file_of
from coop.notices.calendar.events import event_of, uid_of
from coop.notices.models import Matter
from coop.people.models import Coop
from tests.web.factories import NOW
from tests.web.notices.calendar_reading import plainly

DENVER, BERLIN = ZoneInfo("America/Denver"), ZoneInfo("Europe/Berlin")
LONG_AGO = NOW - timedelta(days=366)
EVENING, TWO_DAYS = evening_before(18), before(hours=48)


def matter(coop=None, **fields):
    """A matter as a row would be, of a pickup on Sat 15 Aug at 8:00 in Denver."""
    coop = coop or Coop(pk=7, slug="cottonwood", created_at=NOW)
    given = {
        "kind": "pickup",
        "about": "buy:12",
        "key": "buy:12/pickup-3",
        "at": datetime(2026, 8, 15, 8, tzinfo=DENVER),
        "ends_at": datetime(2026, 8, 15, 10, 30, tzinfo=DENVER),
        "title": "Sweet corn: pickup Sat 15 Aug at 8:00",
        "to_do": "Fetch your sweet corn.",
        "details": ["8 dozen", "Bring 2 crates"],
        "path": "/cottonwood/buys/12/",
        "button": "Open the buy",
        "where": "Grange hall, north door",
        "sequence": 4,
        "made_at": LONG_AGO,
        "changed_at": NOW,
    }
    return Matter(coop=coop, **given | fields)


def read(row, *leads):
    """The event of a matter as icalendar reads it from the file."""
    (event,) = Calendar.from_ical(file_of(row, {row.kind: leads})).events
    return event


def rings(row, *leads):
    """The moments, in UTC, at which icalendar finds that its alarms ring."""
    return [time.trigger.astimezone(UTC) for time in read(row, *leads).alarms.times]


def test_every_property_says_what_the_matter_says(settings):
    settings.SITE_ADDRESS = "https://larder.example"
    event = read(matter())
    link = "https://larder.example/cottonwood/buys/12/"
    assert event["SUMMARY"] == "Sweet corn: pickup Sat 15 Aug at 8:00"
    assert event["LOCATION"] == "Grange hall, north door"
    assert event["DESCRIPTION"].split("\n") == [
        "Fetch your sweet corn.",
        "8 dozen",
        "Bring 2 crates",
        f"Open the buy: {link}",
    ]
    assert (event["URL"], event["SEQUENCE"], event["STATUS"]) == (link, 4, "CONFIRMED")
    assert event.DTSTAMP == event.LAST_MODIFIED == NOW
    assert event["DTSTART"].to_ical() == b"20260815T080000"
    assert event["DTEND"].to_ical() == b"20260815T103000"
    assert event["DTSTART"].params["TZID"] == event["DTEND"].params["TZID"] == "America/Denver"
    assert event["TRANSP"] == "OPAQUE"


def test_it_stands_in_a_whole_calendar_with_the_clocks_of_its_zone():
    calendar = Calendar.from_ical(file_of(matter(), {}))
    assert (calendar["VERSION"], calendar["CALSCALE"]) == ("2.0", "GREGORIAN")
    assert "Many Larders" in calendar["PRODID"]
    assert [zone.tz_name for zone in calendar.timezones] == ["America/Denver"]
    assert calendar.get_missing_tzids() == set()


# ---- Its id ---------------------------------------------------------------------------------
def test_the_id_hangs_on_the_coop_and_the_key_alone():
    first = read(matter())["UID"]
    changed = Coop(pk=7, slug="other", name="Other", time_zone="Europe/Berlin", created_at=NOW)
    assert read(matter(changed, pk=99, sequence=9, title="Moved", kind="other"))["UID"] == first
    others = [
        uid_of(Coop(pk=8, created_at=NOW), "buy:12/pickup-3"),
        uid_of(Coop(pk=7, created_at=NOW + timedelta(seconds=1)), "buy:12/pickup-3"),
        uid_of(Coop(pk=7, created_at=NOW), "buy:12/pickup-4"),
    ]
    assert len({first, *others}) == 4


def test_the_id_is_the_one_that_calendars_have_known_since_the_first_release():
    """A change of how ids are made would put everything twice into everybody's calendar."""
    assert read(matter())["UID"] == "01abd63c-f005-5b5c-8305-f3f0f3cec950"


# ---- What was known too late for its alarms -------------------------------------------------
@pytest.mark.parametrize(
    ("made", "expected"),
    (
        (timedelta(hours=15), [timedelta(hours=14), timedelta(hours=2)]),  # the evening before
        (timedelta(hours=14), [timedelta(hours=14), timedelta(hours=2)]),
        (timedelta(hours=3), [timedelta(hours=2)]),
        (timedelta(minutes=40), [timedelta(minutes=15)]),
        (timedelta(minutes=12), []),
    ),
)
def test_no_alarm_lies_before_the_matter_was_made(made, expected):
    row = matter()
    row.made_at = row.at - made
    assert sorted(rings(row, EVENING, before(hours=2))) == [row.at - each for each in expected]


def test_who_chose_no_alarm_has_none_shortly_before_either():
    row = matter()
    row.made_at = row.at - timedelta(minutes=40)
    assert rings(row) == []


# ---- Dropped --------------------------------------------------------------------------------
def test_dropped_before_its_moment_it_is_cancelled_and_does_not_ring():
    event = read(matter(dropped_at=NOW), TWO_DAYS)
    assert event["STATUS"] == "CANCELLED"
    assert not event.alarms.times


def test_cancelled_its_words_say_so_and_ask_for_nothing_and_it_takes_nobodys_time():
    """Many programs show the words alone, and hold the time as long as it is OPAQUE."""
    event = read(matter(dropped_at=NOW))
    assert event["SUMMARY"] == "Called off: Sweet corn: pickup Sat 15 Aug at 8:00"
    assert event["DESCRIPTION"] == "This does not take place any more."
    assert event["TRANSP"] == "TRANSPARENT"


def test_dropped_at_its_moment_or_after_it_is_over_and_was():
    row = matter()
    row.dropped_at = row.at
    event = read(row, TWO_DAYS)
    assert (event["STATUS"], event["TRANSP"]) == ("CONFIRMED", "OPAQUE")
    assert event["SUMMARY"] == row.title


# ---- Times ----------------------------------------------------------------------------------
@pytest.mark.parametrize("lasts", [None, timedelta(), timedelta(milliseconds=300)])
def test_a_moment_has_no_end_and_takes_nobodys_time(lasts):
    row = matter(ends_at=None)
    row.ends_at = None if lasts is None else row.at + lasts
    event = read(row)
    assert "DTEND" not in event
    assert event["TRANSP"] == "TRANSPARENT"


@given(minutes=st.integers(0, 3 * 24 * 60), lasts=st.integers(1, 5000), seconds=st.integers(0, 59))
@example(minutes=26 * 60 + 30, lasts=60, seconds=0)  # the hour that comes twice, at its second time
@pytest.mark.parametrize("key", ["America/Denver", "Europe/Berlin"])
def test_a_moment_around_the_change_of_clocks_is_read_back_as_it_was(key, minutes, lasts, seconds):
    """Over the change of 1 November in Denver, and of 25 October in Berlin."""
    first = {"America/Denver": (2026, 10, 31), "Europe/Berlin": (2026, 10, 24)}[key]
    start = datetime(*first, tzinfo=ZoneInfo(key)).astimezone(UTC)
    start += timedelta(minutes=minutes, seconds=seconds)
    end = start + timedelta(minutes=lasts)
    coop = Coop(pk=7, created_at=NOW, time_zone=key)
    event = read(matter(coop, at=start, ends_at=end))
    assert (event.start.astimezone(UTC), event.end.astimezone(UTC)) == (start, end)


# ---- Alarms ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("zone", "at", "rings_at"),
    [
        (DENVER, (2026, 3, 8, 8), (2026, 3, 8, 1)),  # Sat 7 Mar at 18:00, seven hours behind
        (DENVER, (2026, 11, 1, 8), (2026, 11, 1, 0)),  # Sat 31 Oct at 18:00, six hours behind
        (BERLIN, (2026, 3, 29, 8), (2026, 3, 28, 17)),  # Sat 28 Mar at 18:00, one hour ahead
        (BERLIN, (2026, 10, 25, 8), (2026, 10, 24, 16)),  # Sat 24 Oct at 18:00, two hours ahead
    ],
)
def test_the_evening_before_at_18_is_right_over_every_change_of_clocks(zone, at, rings_at):
    row = matter(Coop(pk=7, created_at=NOW, time_zone=zone.key), at=datetime(*at, tzinfo=zone))
    row.ends_at = None
    (alarm,) = read(row, EVENING).walk("VALARM")
    assert alarm["ACTION"] == "DISPLAY"
    assert alarm["TRIGGER"].params["VALUE"] == "DATE-TIME"
    assert alarm["TRIGGER"].to_ical().endswith(b"Z")
    assert rings(row, EVENING) == [datetime(*rings_at, tzinfo=UTC)]


def test_hours_before_are_real_hours_though_the_clocks_change():
    row = matter(at=datetime(2026, 11, 1, 8, tzinfo=DENVER), ends_at=None)
    made = file_of(row, {row.kind: (TWO_DAYS, before(hours=6, minutes=30), before())}).decode()
    triggers = [line for line in made.split("\r\n") if line.startswith("TRIGGER")]
    # RFC 5545, 3.3.6: a duration of days is nominal, one of hours is exact.
    assert triggers == ["TRIGGER:-PT48H", "TRIGGER:-PT6H30M", "TRIGGER:PT0S"]


def test_a_day_before_is_at_the_same_time_of_day():
    row = matter(at=datetime(2026, 11, 1, 8, tzinfo=DENVER), ends_at=None)
    assert rings(row, days_before(1)) == [datetime(2026, 10, 31, 14, tzinfo=UTC)]


def test_an_alarm_says_what_it_is_about():
    (alarm,) = read(matter(), TWO_DAYS).walk("VALARM")
    assert alarm["DESCRIPTION"] == "Sweet corn: pickup Sat 15 Aug at 8:00"


# ---- Texts ----------------------------------------------------------------------------------
TEXTS = st.text(st.characters(exclude_categories=("Cs",)), max_size=200)


def holdable(text):
    """What of a text a calendar can hold: no control characters but tab and line ends."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(each for each in lines if each in "\n\t" or unicodedata.category(each) != "Cc")


@given(title=TEXTS, where=TEXTS.filter(holdable), to_do=TEXTS)
@example(
    title="C:\\New\\now, a;b", where="Barn\r\nEND:VEVENT\r\nBEGIN:VEVENT", to_do="%2C \\, \\\\n"
)
@example(title="Ä" * 160, where="🍑" * 200, to_do=" \u2028 \x85 x")
def test_any_text_survives(title, where, to_do):
    row = matter(title=title, where=where, to_do=to_do, details=[], ends_at=None)
    made = event_of(row, DENVER, [TWO_DAYS]).to_ical()
    assert plainly(made, "SUMMARY") == [holdable(title)]
    assert plainly(made, "LOCATION") == [holdable(where)]
    words, alarm = plainly(made, "DESCRIPTION")
    assert words.startswith(holdable(to_do) + "\n")
    assert alarm == holdable(title)


@given(title=TEXTS, where=TEXTS.filter(holdable))
def test_any_text_is_read_back_by_icalendar(title, where):
    """Without backslashes, which its reader does not tell from those that escape."""
    title, where = title.replace("\\", ""), where.replace("\\", "") or "Barn"
    event = read(matter(title=title, where=where))
    assert (event["SUMMARY"], event["LOCATION"]) == (holdable(title), holdable(where))


def test_no_line_is_longer_than_75_octets_and_none_splits_a_letter():
    made = file_of(matter(title="Rhabarbergrütze ü" * 9, where="🍑" * 99), {"pickup": [TWO_DAYS]})
    lines = made.split(b"\r\n")
    assert max(map(len, lines)) <= 75  # RFC 5545, section 3.1
    assert all(line.decode() for line in lines[:-1])
    assert b"\n" not in b"".join(lines)
