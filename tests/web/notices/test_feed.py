"""The private calendar of a member, as a program that has its address reads it."""

from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Calendar

from coop.notices.actions.keeping import keep
from coop.notices.models import Choice, Matter
from coop.notices.says import Role
from tests.web.factories import NOW, make_household, make_member
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_matter, say
from tests.web.notices.calendar_reading import address_of, events_at

pytestmark = pytest.mark.django_db
NEXT_WEEK = NOW + timedelta(days=7)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def address(member):
    return address_of(member)


def starts(to, at=NEXT_WEEK, **fields):
    return say(to, **{"key": "start", "kind": START.code, "at": at, "title": "Canner"} | fields)


def event_of(client, address):
    """The one event that stands there."""
    (event,) = events_at(client, address).values()
    return event


# ---- What stands in it ----------------------------------------------------------------------
def test_it_is_a_calendar_that_names_the_coop_and_says_how_often_to_look(coop, signed_out, address):
    answer = signed_out.get(address)
    calendar = Calendar.from_ical(answer.content)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    # RFC 7986, sections 5.1 and 5.7; the X names are older.
    assert calendar["NAME"] == calendar["X-WR-CALNAME"] == "Cottonwood Larder"
    assert calendar["REFRESH-INTERVAL"].to_ical() == b"PT1H"
    assert calendar["REFRESH-INTERVAL"].params["VALUE"] == "DURATION"
    assert [zone.tz_name for zone in calendar.timezones] == ["America/Denver"]  # though it is empty


def test_it_holds_what_concerns_the_household_the_member_and_their_role(
    coop, coordinator, member, other_household, signed_out
):
    second = make_member(coordinator.household)
    keep(coop, "test:1", [starts(coordinator.household, title="Household")])
    keep(coop, "test:2", [starts(coordinator, title="Member")])
    keep(coop, "test:3", [starts(Role("coordinator"), title="Role")])
    keep(coop, "test:4", [starts(other_household, title="Others")])
    keep(coop, "test:5", [say(coordinator, kind=NEWS.code, title="News")])
    assert set(events_at(signed_out, address_of(coordinator))) == {"Household", "Member", "Role"}
    assert set(events_at(signed_out, address_of(second))) == {"Household"}
    assert events_at(signed_out, address_of(member)) == {}


def test_nothing_of_another_coop_stands_in_it(member, outsider, signed_out, address):
    keep(outsider.coop, "test:1", [starts(Role("coordinator"))])
    keep(outsider.coop, "test:2", [starts(outsider.household)])
    member.coordinator = True
    member.save()
    assert events_at(signed_out, address) == {}


def test_it_goes_back_60_days(household, signed_out, address):
    for days in (59, 62):
        make_matter(
            household, kind=START.code, at=NOW - timedelta(days=days), title=f"{days} days ago"
        )
    long = {"at": NOW - timedelta(days=70), "ends_at": NOW - timedelta(days=50), "title": "Long"}
    make_matter(household, kind=START.code, **long)
    assert set(events_at(signed_out, address)) == {"59 days ago", "Long"}


def test_of_a_buy_that_one_did_not_ask_in_nothing_is_left_once_its_asks_have_closed(
    household, signed_out, address, clock
):
    for kind in ("buy_closes", "buy_last_change"):
        make_matter(household, kind=kind, at=NOW + timedelta(hours=2), title=kind)
    clock.shift(timedelta(hours=6))
    assert set(events_at(signed_out, address)) == {"buy_closes", "buy_last_change"}
    clock.shift(timedelta(days=1))
    assert set(events_at(signed_out, address)) == {"buy_last_change"}


def test_its_times_are_those_of_the_clocks_of_the_coop(coop, household, signed_out, address):
    coop.time_zone = "Europe/Berlin"
    coop.save()
    keep(coop, "test:1", [starts(household, at=datetime(2026, 8, 15, 14, tzinfo=UTC))])
    event = event_of(signed_out, address)
    assert event["DTSTART"].to_ical() == b"20260815T160000"
    assert event["DTSTART"].params["TZID"] == "Europe/Berlin"


# ---- Alarms as the member chose -------------------------------------------------------------
def triggers(event):
    return [alarm["TRIGGER"].td for alarm in event.walk("VALARM")]


def test_the_alarms_are_those_that_the_member_chose(coop, household, member, signed_out, address):
    keep(coop, "test:1", [starts(household)])
    assert triggers(event_of(signed_out, address)) == [timedelta(hours=-24), timedelta(hours=-2)]
    Choice.objects.create(
        member=member, kind=START.code, by_mail="never", timing=START.timings[1].code
    )
    assert triggers(event_of(signed_out, address)) == [timedelta(hours=-6)]


def test_without_alarms_the_event_stays(coop, household, member, signed_out, address):
    keep(coop, "test:1", [starts(household)])
    Choice.objects.create(member=member, kind=START.code, by_mail="at_once", calendar="silent")
    assert triggers(event_of(signed_out, address)) == []


def test_a_kind_that_the_member_wants_out_of_it_is_not_in_it(
    coop, household, member, signed_out, address
):
    second = make_member(household)
    keep(coop, "test:1", [starts(household)])
    Choice.objects.create(member=member, kind=START.code, by_mail="at_once", calendar="out")
    assert events_at(signed_out, address) == {}
    assert set(events_at(signed_out, address_of(second))) == {"Canner"}


# ---- Moved and cancelled --------------------------------------------------------------------
def test_moved_it_is_the_same_event_and_its_sequence_rises(coop, household, signed_out, address):
    keep(coop, "test:1", [starts(household)])
    first = event_of(signed_out, address)
    keep(coop, "test:1", [starts(household, at=NEXT_WEEK + timedelta(hours=3))])
    moved = event_of(signed_out, address)
    assert moved["UID"] == first["UID"]
    assert moved["SEQUENCE"] > first["SEQUENCE"]
    assert moved.start - first.start == timedelta(hours=3)


def test_told_and_then_moved_it_is_still_the_same_event(
    coop, household, signed_out, address, clock
):
    keep(coop, "test:1", [starts(household)])
    first = event_of(signed_out, address)
    clock.move_to(NEXT_WEEK - timedelta(hours=20))  # the first lead has been told
    keep(coop, "test:1", [starts(household, at=NEXT_WEEK + timedelta(days=3))])
    moved = event_of(signed_out, address)
    assert Matter.objects.count() == 2
    assert (moved["UID"], moved["STATUS"]) == (first["UID"], "CONFIRMED")
    assert moved["SEQUENCE"] > first["SEQUENCE"]
    assert moved.DTSTAMP > first.DTSTAMP


def test_called_off_it_says_so_and_on_again_it_is_the_same_event(
    coop, household, signed_out, address
):
    says = [[starts(household)], [], [starts(household)]]
    seen = []
    for said in says:
        keep(coop, "test:1", said)
        seen.append(event_of(signed_out, address))
    assert [event["STATUS"] for event in seen] == ["CONFIRMED", "CANCELLED", "CONFIRMED"]
    assert len({event["UID"] for event in seen}) == 1
    assert seen[0]["SEQUENCE"] < seen[1]["SEQUENCE"] < seen[2]["SEQUENCE"]


def test_dropped_once_it_is_over_it_is_not_cancelled(coop, household, signed_out, address, clock):
    keep(coop, "test:1", [starts(household)])
    clock.move_to(NEXT_WEEK + timedelta(hours=5))
    keep(coop, "test:1", [])
    assert event_of(signed_out, address)["STATUS"] == "CONFIRMED"


def test_what_passes_to_another_household_is_cancelled_for_the_first(
    coop, household, other_household, other_household_member, signed_out, address
):
    keep(coop, "test:1", [starts(household)])
    keep(coop, "test:1", [])
    keep(coop, "test:1", [starts(other_household)])
    assert event_of(signed_out, address)["STATUS"] == "CANCELLED"
    theirs = event_of(signed_out, address_of(other_household_member))
    assert theirs["STATUS"] == "CONFIRMED"


# ---- Its cost -------------------------------------------------------------------------------
def test_a_calendar_of_300_costs_as_many_queries_as_one_of_3(
    coop, member, signed_out, address, django_assert_num_queries
):
    for count in (3, 297):
        household = member.household
        for _ in range(count):
            make_matter(household, kind=START.code, at=NEXT_WEEK, details=["8 dozen"])
        with django_assert_num_queries(5):  # whose, what, choices, history; then the words
            answer = signed_out.get(address)
    assert answer.content.count(b"BEGIN:VEVENT") == 300
    with django_assert_num_queries(4):
        signed_out.get(address, headers={"If-None-Match": answer.headers["ETag"]})


def test_other_households_do_not_make_it_slower(
    coop, household, signed_out, address, django_assert_num_queries
):
    for whose in (household, *(make_household(coop) for _ in range(10))):
        make_matter(whose, kind=START.code, at=NEXT_WEEK)
    with django_assert_num_queries(5):
        assert signed_out.get(address).content.count(b"BEGIN:VEVENT") == 1
