"""One booking as a file for a calendar program, the same event as in the member's own calendar."""

from datetime import timedelta

import pytest
from django.urls import reverse
from icalendar import Calendar

from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.changing import cancel, move
from coop.equipment.notices.kinds import STARTS
from coop.notices.models import Choice
from tests.web.equipment_factories import HOUR, make_booking, make_thing
from tests.web.factories import NOW
from tests.web.notices.calendar_reading import address_of

pytestmark = pytest.mark.django_db
NEXT_WEEK = NOW + timedelta(days=7)


@pytest.fixture
def booking(coop, member):
    canner = make_thing(coop, name="Big Red", home="Grange hall", turnaround_minutes=120)
    wish = Wish(canner.pk, NEXT_WEEK, NEXT_WEEK + 3 * HOUR)
    return book([wish], household=member.household, by=member)[0]


@pytest.fixture
def address(booking):
    return reverse("equipment:booking_file", args=[booking.coop.slug, booking.pk])


def event_at(client, address):
    """The one event in the calendar at an address."""
    (event,) = Calendar.from_ical(client.get(address).content).events
    return event


def test_it_holds_the_hours_of_the_booking_without_the_turnaround(as_member, address):
    answer = as_member.get(address)
    event = event_at(as_member, address)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert (event.start, event.end) == (NEXT_WEEK, NEXT_WEEK + 3 * HOUR)
    assert "Big Red" in event["SUMMARY"]
    assert "Grange hall" in event["LOCATION"]


def test_it_is_the_same_event_as_in_the_feed_so_that_none_stands_twice(
    member, as_member, signed_out, address
):
    feed = address_of(member)
    assert event_at(as_member, address).to_ical() == event_at(signed_out, feed).to_ical()


def test_its_alarms_are_those_of_the_member(member, as_member, address):
    assert len(event_at(as_member, address).walk("VALARM")) == 1
    Choice.objects.create(member=member, kind=STARTS.code, by_mail="at_once", calendar="silent")
    assert event_at(as_member, address).walk("VALARM") == []


def test_moved_and_cancelled_it_stays_the_event_that_it_was(member, booking, as_member, address):
    seen = [event_at(as_member, address)]
    move(booking.pk, NEXT_WEEK + HOUR, NEXT_WEEK + 4 * HOUR, by=member)
    seen.append(event_at(as_member, address))
    cancel(booking.pk, by=member)
    seen.append(event_at(as_member, address))
    assert len({event["UID"] for event in seen}) == 1
    assert [event["STATUS"] for event in seen] == ["CONFIRMED", "CONFIRMED", "CANCELLED"]
    assert seen[1].start == NEXT_WEEK + HOUR
    assert seen[0]["SEQUENCE"] < seen[1]["SEQUENCE"] < seen[2]["SEQUENCE"]


def test_another_household_has_no_use_for_it(as_other_household_member, address):
    assert as_other_household_member.get(address).status_code == 403


def test_what_stands_in_no_calendar_has_no_file(member, as_member):
    offered = make_booking(make_thing(member.coop), member.household)
    address = reverse("equipment:booking_file", args=[member.coop.slug, offered.pk])
    assert as_member.get(address).status_code == 404


def test_the_page_of_ones_own_booking_leads_to_it(
    booking, as_member, as_other_household_member, address
):
    page = reverse("equipment:booking", args=[booking.coop.slug, booking.pk])
    assert f'href="{address}"' in as_member.get(page).content.decode()
    assert address not in as_other_household_member.get(page).content.decode()
