"""Places in line: standing by, what is offered, taking it, passing it on, leaving the line."""

import re
from datetime import datetime, timedelta

import pytest
from django.db import transaction
from django.http import Http404

from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import offer_openings
from coop.equipment.actions.standby import (
    MOST_PLACES,
    Want,
    end_standby,
    pass_on,
    stand_by,
    take,
)
from coop.equipment.errors import NotAllowed, NotFit, Refused, TooLate, TooLong
from coop.equipment.models import Booking, Standby, Told
from coop.equipment.queries.standby import lines_in
from coop.equipment.tasks import let_offers_lapse
from coop.people.changes import changes_of
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_fault,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW, make_household, make_member

CANNER = "pressure_canner"
TOMORROW = NOW + 24 * HOUR


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Blue", turnaround_minutes=120)


def want(minutes=180, *, until=NOW + 72 * HOUR, **fields):
    values = {"kind": CANNER, "minutes": minutes, "from_at": NOW, "until_at": until}
    return Want(**(values | fields))


def offered(thing, household, **fields):
    """A place in line for a thing tomorrow, and the offer that it got."""
    place = make_standby(thing, household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR, **fields)
    with transaction.atomic():
        offer_openings(lock_thing(thing.coop, thing.pk), NOW)
    return Booking.objects.get(standby=place)


# ---- standing by ------------------------------------------------------------------------------
def test_who_stands_by_waits_while_nothing_is_free(canner, member):
    make_booking(canner, start=NOW, hours=100)
    place = stand_by(want(purpose="peaches"), member.household, by=member)
    assert (place.kind, place.thing, place.minutes, place.purpose) == (
        CANNER,
        None,
        180,
        "peaches",
    )
    assert not place.bookings.exists()


def test_who_stands_by_for_what_is_free_is_offered_it_at_once(canner, member):
    place = stand_by(want(), member.household, by=member)
    assert place.bookings.get().held_until is not None


def test_the_earliest_of_all_things_that_would_do_is_offered(coop, member):
    for name, hours in (("Later", 30), ("Sooner", 10)):
        make_booking(make_thing(coop, name=name), start=NOW, hours=hours)
    place = stand_by(want(), member.household, by=member)
    assert place.bookings.get().thing.name == "Sooner"


def test_standing_by_twice_for_the_same_is_one_place(canner, member):
    make_booking(canner, start=NOW, hours=100)
    first = stand_by(want(), member.household, by=member)
    assert stand_by(want(), member.household, by=member) == first
    assert Standby.objects.count() == 1


@pytest.mark.parametrize(
    ("wish", "field"),
    [
        (want(until=NOW + 2 * HOUR), "until_at"),
        (want(until=NOW + timedelta(days=93)), "until_at"),
        (want(kind="scale"), "what"),
    ],
)
def test_what_could_never_be_offered_is_refused(canner, member, wish, field):
    with pytest.raises(Refused) as refusal:
        stand_by(wish, member.household, by=member)
    assert refusal.value.field == field
    assert not Standby.objects.exists()


def test_what_is_lent_for_less_is_refused(coop, member):
    make_thing(coop, longest_minutes=120)
    with pytest.raises(TooLong, match="2 h at most"):
        stand_by(want(), member.household, by=member)


def test_a_household_stands_in_line_so_often_and_no_more(canner, member):
    for _ in range(MOST_PLACES):
        make_standby(canner, member.household)
    with pytest.raises(Refused, match="Leave another place first"):
        stand_by(want(), member.household, by=member)


def test_a_member_cannot_stand_by_for_another_household(canner, member, other_household):
    with pytest.raises(NotAllowed):
        stand_by(want(), other_household, by=member)


def test_a_steward_may_stand_by_for_another_household(canner, coop, other_household):
    steward = make_member(make_household(coop), roles=["steward"])
    assert stand_by(want(), other_household, by=steward).household == other_household


def test_a_thing_of_another_coop_is_not_there(other_coop, member):
    thing = make_thing(other_coop)
    with pytest.raises(Http404):
        stand_by(want(thing_id=thing.pk), member.household, by=member)


# ---- taking it --------------------------------------------------------------------------------
def test_what_is_taken_is_a_booking_and_the_place_in_line_is_over(canner, member):
    offer = offered(canner, member.household)
    taken = take(offer.pk, by=member)
    assert (taken.held_until, taken.cancelled_at) == (None, None)
    assert Standby.objects.get().ended_at == NOW
    assert changes_of(canner.coop, offer)[0].sentence == "Taken."


def test_the_last_second_is_in_time(canner, member):
    offer = offered(canner, member.household)
    last = offer.held_until - timedelta(microseconds=1)
    assert take(offer.pk, by=member, now=last).held_until is None


def test_a_second_later_it_is_gone_and_the_next_is_offered_it(canner, member, other_household):
    offer = offered(canner, member.household)
    make_standby(canner, other_household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    with pytest.raises(TooLate, match="The offer ran out"):
        take(offer.pk, by=member, now=offer.held_until)
    # What the refused act found out stands all the same.
    held = Booking.objects.get(cancelled_at=None)
    assert held.household == other_household


def test_taking_twice_says_that_it_is_booked(canner, member):
    offer = offered(canner, member.household)
    take(offer.pk, by=member)
    with pytest.raises(TooLate, match="is booked already"):
        take(offer.pk, by=member)


def test_what_broke_meanwhile_cannot_be_taken(canner, member):
    offer = offered(canner, member.household)
    make_fault(canner)
    with pytest.raises(NotFit):
        take(offer.pk, by=member)


def test_another_household_cannot_take_or_pass_on_what_is_offered(
    canner, household, other_household_member
):
    offer = offered(canner, household)
    for act in (take, pass_on):
        with pytest.raises(NotAllowed):
            act(offer.pk, by=other_household_member)
    offer.refresh_from_db()
    assert offer.held_until
    assert not offer.cancelled_at


def test_another_coop_finds_nothing_to_take(canner, household, outsider):
    offer = offered(canner, household)
    with pytest.raises(Http404):
        take(offer.pk, by=outsider)


# ---- passing it on ----------------------------------------------------------------------------
def test_what_is_passed_on_is_offered_to_the_next(canner, member, other_household):
    offer = offered(canner, member.household)
    make_standby(canner, other_household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    pass_on(offer.pk, by=member)
    assert Booking.objects.get(cancelled_at=None).household == other_household


def test_who_passes_on_stays_in_line_and_is_not_offered_the_same_again(canner, member):
    offer = offered(canner, member.household)
    pass_on(offer.pk, by=member)
    let_offers_lapse()
    place = Standby.objects.get()
    assert (place.ended_at, place.bookings.count()) == (None, 1)


# ---- leaving the line -------------------------------------------------------------------------
def test_leaving_the_line_passes_on_what_was_offered(canner, member, other_household):
    offer = offered(canner, member.household)
    make_standby(canner, other_household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    end_standby(offer.standby_id, by=member)
    assert Booking.objects.get(cancelled_at=None).household == other_household


def test_leaving_twice_does_no_harm(canner, member):
    place = make_standby(canner, member.household)
    for _ in range(2):
        end_standby(place.pk, by=member)
    place.refresh_from_db()
    assert place.ended_at == NOW


def test_another_households_place_cannot_be_given_up(canner, household, other_household_member):
    place = make_standby(canner, household)
    with pytest.raises(NotAllowed):
        end_standby(place.pk, by=other_household_member)


# ---- the clock --------------------------------------------------------------------------------
def test_each_minute_what_ran_out_goes_to_the_next(canner, household, other_household, clock):
    offered(canner, household)
    make_standby(canner, other_household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    clock.move_to(NOW + 12 * HOUR)
    let_offers_lapse()
    assert Booking.objects.get(cancelled_at=None).household == other_household


def test_a_minute_twice_does_no_harm(canner, household, clock):
    offered(canner, household)
    clock.move_to(NOW + 12 * HOUR)
    assert (let_offers_lapse(), let_offers_lapse()) == (1, 0)
    assert Told.objects.filter(what="lapsed").count() == 1


def test_an_opening_that_no_act_told_of_is_found_within_a_minute(canner, household):
    booking = make_booking(canner, start=NOW, hours=400)
    make_standby(canner, household)
    assert let_offers_lapse() == 0
    Booking.objects.filter(pk=booking.pk).update(cancelled_at=NOW)
    assert let_offers_lapse() == 1
    assert Booking.objects.get(cancelled_at=None).household == household


def test_a_place_whose_window_has_passed_ends_by_itself(canner, household, clock):
    make_booking(canner, start=NOW, hours=400)
    place = make_standby(canner, household)
    clock.move_to(place.until_at)
    let_offers_lapse()
    place.refresh_from_db()
    assert place.ended_at == place.until_at


@pytest.mark.sqlite  # about the page alone
def test_a_minute_costs_the_same_for_three_hundred_things(
    coop, household, django_assert_max_num_queries
):
    for number in range(300):
        thing = make_thing(coop, name=f"Canner of {number}")
        make_booking(thing, household, start=NOW, hours=400)
        if number < 30:
            make_standby(thing)
    with django_assert_max_num_queries(14):
        let_offers_lapse()


# ---- why --------------------------------------------------------------------------------------
def offered_now(thing):
    """Whether a minute later the line for a thing was offered some of it."""
    with transaction.atomic():
        offer_openings(lock_thing(thing.coop, thing.pk), NOW)
    return thing.bookings.filter(held_until__isnull=False, cancelled_at=None).exists()


def why_of(member):
    """What the page says to a member of its one place in line."""
    (line,) = lines_in(member, NOW)
    return [place.why for place in line.places if place.why]


def test_the_page_says_who_goes_first_and_why(canner, member, other_household):
    make_booking(make_thing(canner.coop), member.household, start=NOW - 48 * HOUR, hours=14)
    make_standby(canner, member.household, at=NOW - HOUR)
    make_standby(canner, other_household)
    assert why_of(member) == [
        "Dufresne goes first: 0 h with a pressure canner this year, booked or had; you have 14 h."
    ]


def test_the_page_says_who_asked_first(canner, member, other_household):
    make_standby(canner, other_household, at=NOW - HOUR)
    make_standby(canner, member.household)
    assert "and they asked first" in why_of(member)[0]


def test_who_wants_another_time_is_not_before_anybody(canner, member, other_household):
    make_standby(canner, other_household, at=NOW - HOUR, until_at=NOW + 4 * HOUR)
    make_standby(canner, member.household, from_at=NOW + 4 * HOUR)
    assert why_of(member) == ["You go first: 0 h with a pressure canner this year, booked or had."]


def test_who_minds_another_thing_then_is_told_so_and_not_that_it_goes_first(canner, member):
    tall = make_thing(canner.coop, "water_bath_canner", name="Tall canner")
    booked = make_booking(tall, member.household, start=TOMORROW)
    make_standby(canner, member.household, from_at=TOMORROW, until_at=TOMORROW + 4 * HOUR)
    assert why_of(member) == [
        "You have Tall canner booked Wed 12 Aug, 9:00 to 12:00: nothing is offered for that time. "
        "When you cancel or move it, this is looked at again within a minute."
    ]
    assert not offered_now(canner)
    Booking.objects.filter(pk=booked.pk).update(cancelled_at=NOW)
    assert why_of(member)[0].startswith("You go first")
    assert offered_now(canner)


def test_what_takes_half_of_a_window_is_said_and_what_takes_little_is_not(canner, member):
    tall = make_thing(canner.coop, "water_bath_canner", name="Tall canner")
    make_booking(tall, member.household, start=TOMORROW, hours=4)
    place = make_standby(canner, member.household, from_at=TOMORROW, until_at=TOMORROW + 8 * HOUR)
    assert re.match(r"You go first: .* You have Tall canner booked", why_of(member)[0])
    Standby.objects.filter(pk=place.pk).update(until_at=TOMORROW + 9 * HOUR)
    assert "Tall canner" not in why_of(member)[0]


def test_who_is_offered_something_is_told_who_comes_next(canner, member, other_household):
    make_booking(make_thing(canner.coop), other_household, start=NOW - 48 * HOUR, hours=14)
    make_standby(canner, other_household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    offered(canner, member.household)
    assert why_of(member) == [
        "You go first: 0 h with a pressure canner this year, booked or had; Dufresne, who is next, "
        "has 14 h."
    ]


def test_who_is_offered_what_the_first_could_not_use_is_told_so(canner, member, other_household):
    make_booking(make_thing(canner.coop), member.household, start=NOW - 48 * HOUR, hours=14)
    # More than the day has room for before the next booking.
    make_booking(canner, start=TOMORROW + 6 * HOUR)
    make_standby(canner, other_household, minutes=36 * 60, until_at=TOMORROW + 24 * HOUR)
    offered(canner, member.household)
    assert why_of(member)[0].startswith("Dufresne had less, and cannot use this time")


def test_a_year_begins_at_midnight_in_the_coops_zone(canner, member, other_household):
    # 06:30 UTC on 1 January is 23:30 on 31 December in Denver.
    make_booking(canner, other_household, start=datetime.fromisoformat("2026-01-01T06:30+00:00"))
    make_standby(canner, other_household, at=NOW - HOUR)
    make_standby(canner, member.household)
    assert "each of you has 0 h" in why_of(member)[0]
