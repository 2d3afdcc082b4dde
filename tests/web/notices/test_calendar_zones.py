"""The clocks of a zone as calendars are told them."""

from datetime import UTC, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical
from icalendar import Calendar, Timezone

from coop.notices.calendar.zones import timezone_of, years_of

ZONES = ["America/Denver", "Europe/Berlin"]
#: By zone: the days on which the clocks change, as their governments have it.
CHANGES = {
    "America/Denver": [(2026, 3, 8), (2026, 11, 1), (2027, 3, 14), (2027, 11, 7)],
    "Europe/Berlin": [(2026, 3, 29), (2026, 10, 25), (2027, 3, 28), (2027, 10, 31)],
}
#: RFC 5545, section 3.6.5: New York from 1967 on, as printed there but for its LAST-MODIFIED.
#: Written down from memory, and held below against zoneinfo.
AS_PRINTED = """BEGIN:VTIMEZONE
TZID:America/New_York
BEGIN:DAYLIGHT
DTSTART:19670430T020000
RRULE:FREQ=YEARLY;BYMONTH=4;BYDAY=-1SU;UNTIL=19730429T070000Z
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:19671029T020000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU;UNTIL=20061029T060000Z
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
TZNAME:EST
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19740106T020000
RDATE:19750223T020000
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
END:DAYLIGHT
BEGIN:DAYLIGHT
DTSTART:19760425T020000
RRULE:FREQ=YEARLY;BYMONTH=4;BYDAY=-1SU;UNTIL=19860427T070000Z
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
END:DAYLIGHT
BEGIN:DAYLIGHT
DTSTART:19870405T020000
RRULE:FREQ=YEARLY;BYMONTH=4;BYDAY=1SU;UNTIL=20060402T070000Z
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
END:DAYLIGHT
BEGIN:DAYLIGHT
DTSTART:20070311T020000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
TZNAME:EDT
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:20071104T020000
RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
TZNAME:EST
END:STANDARD
END:VTIMEZONE
""".replace("\n", "\r\n")


def parts(timezone):
    """Its observances, whatever the order of them and of their lines."""
    return sorted(
        [*sorted((name, part[name].to_ical()) for name in part), ("", part.name.encode())]
        for part in timezone.subcomponents
    )


def by_dateutil(timezone):
    """The zone as another reader of RFC 5545 has it, one that does not look the name up."""
    return tzical(StringIO(timezone.to_ical().decode())).get()


def hours(year, month, day):
    """Every quarter of an hour of a day and of those beside it, in UTC."""
    start = datetime(year, month, day, tzinfo=UTC) - timedelta(days=1)
    return [start + timedelta(minutes=15 * quarter) for quarter in range(3 * 96)]


def test_new_york_since_1967_comes_out_as_the_standard_prints_it():
    start, end = datetime(1967, 4, 30, 7, tzinfo=UTC), datetime(2011, 1, 1, tzinfo=UTC)
    ours = timezone_of(ZoneInfo("America/New_York"), start, end)
    assert len(ours.subcomponents) == 7
    assert parts(ours) == parts(Timezone.from_ical(AS_PRINTED))


def test_the_example_of_the_standard_agrees_with_the_zone_files():
    printed = by_dateutil(Timezone.from_ical(AS_PRINTED))
    new_york = ZoneInfo("America/New_York")
    days = [(1973, 4, 29), (1974, 1, 6), (1975, 2, 23), (1986, 4, 27), (2006, 10, 29), (2026, 3, 8)]
    for moment in (moment for day in days for moment in hours(*day)):
        assert moment.astimezone(printed).replace(tzinfo=None) == moment.astimezone(
            new_york
        ).replace(tzinfo=None)


@pytest.mark.parametrize("name", ZONES)
def test_the_clocks_are_right_to_the_minute_around_both_changes_of_two_years(name):
    told, zone = by_dateutil(years_of(name, 2025, 2030)), ZoneInfo(name)
    assert len(CHANGES[name]) == 4
    for day in CHANGES[name]:
        moments = hours(*day)
        shown = [moment.astimezone(zone).replace(tzinfo=None) for moment in moments]
        assert [moment.astimezone(told).replace(tzinfo=None) for moment in moments] == shown
        offsets = {moment.astimezone(zone).utcoffset() for moment in moments}
        assert len(offsets) == 2  # the clocks do change that day


@pytest.mark.parametrize("name", [*ZONES, "Australia/Sydney", "America/New_York"])
def test_what_comes_yearly_is_a_rule_that_holds_after_the_years_told(name):
    told = by_dateutil(years_of(name, 2025, 2028))
    for month in (1, 4, 7, 10):
        later = datetime(2035, month, 20, 12, tzinfo=UTC)
        assert later.astimezone(told).utcoffset() == later.astimezone(ZoneInfo(name)).utcoffset()


@pytest.mark.parametrize("name", ["Africa/Casablanca", "Australia/Lord_Howe", "Europe/Dublin"])
def test_zones_with_ways_of_their_own_are_told_right_too(name):
    """Changes by the moon, by half an hour, and a summer time that counts as the standard one."""
    told, zone = by_dateutil(years_of(name, 2025, 2030)), ZoneInfo(name)
    for day in range(0, 1800, 5):
        moment = datetime(2025, 6, 1, 12, tzinfo=UTC) + timedelta(days=day)
        assert moment.astimezone(told).utcoffset() == moment.astimezone(zone).utcoffset()


@pytest.mark.parametrize("name", ["UTC", "America/Phoenix", "America/Sao_Paulo"])
def test_a_zone_whose_clocks_never_change_has_one_part(name):
    (part,) = years_of(name, 2025, 2030).subcomponents
    offset = datetime(2026, 8, 1, tzinfo=ZoneInfo(name)).utcoffset()
    assert part.TZOFFSETTO == part.TZOFFSETFROM == offset


def test_a_zone_is_a_whole_calendar_that_can_be_read():
    calendar = Calendar()
    calendar.add_component(years_of("America/Denver", 2025, 2030))
    assert Calendar.from_ical(calendar.to_ical()).timezones[0].tz_name == "America/Denver"
