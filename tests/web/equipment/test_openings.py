"""A time opens on a thing: who is offered it, for how long, and what becomes of an offer."""

from datetime import timedelta

import pytest
from django.db import transaction

from coop.equipment.actions import sweep
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import TIME_TO_TAKE, lapse_offers, offer_openings
from coop.equipment.models import Booking, Told
from coop.equipment.queries.line import minutes_had
from coop.equipment.tasks import let_offers_lapse
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_fault,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW, make_household

MINUTE = timedelta(minutes=1)


@pytest.fixture
def canner(coop):
    """A canner that needs two hours after each booking."""
    return make_thing(coop, name="Big Blue", turnaround_minutes=120)


def make_standby_for_any(thing, household):
    """A place in line for any thing of a kind."""
    place = make_standby(thing, household)
    place.thing = None
    place.save()
    return place


def offer(thing, now=NOW):
    with transaction.atomic():
        offer_openings(lock_thing(thing.coop, thing.pk), now)


def lapse(thing, now):
    with transaction.atomic():
        lapse_offers(lock_thing(thing.coop, thing.pk), now)


def offers(thing):
    """The offers that stand, soonest first."""
    held = Booking.objects.filter(thing=thing, cancelled_at=None, held_until__isnull=False)
    return list(held.order_by("starts_at"))


def offered_to(thing):
    return [each.household for each in offers(thing)]


def test_the_first_free_time_is_held_for_who_is_in_line(canner, household):
    place = make_standby(canner, household)
    offer(canner)
    (held,) = offers(canner)
    assert (held.household, held.standby, held.by) == (household, place, place.by)
    # A quarter of an hour is the least notice.
    assert (held.starts_at, held.ends_at) == (NOW + 15 * MINUTE, NOW + 3 * HOUR + 15 * MINUTE)
    assert held.free_at == held.ends_at + 2 * HOUR


def test_an_offer_is_held_for_twelve_hours(canner, household):
    make_standby(canner, household, from_at=NOW + 48 * HOUR)
    offer(canner)
    assert offers(canner)[0].held_until == NOW + TIME_TO_TAKE == NOW + 12 * HOUR


def test_an_offer_is_not_held_past_its_start(canner, household):
    make_standby(canner, household, from_at=NOW + 2 * HOUR)
    offer(canner)
    assert offers(canner)[0].held_until == NOW + 2 * HOUR


def test_nothing_is_offered_that_begins_within_a_quarter_of_an_hour(canner, household):
    make_standby(canner, household, from_at=NOW, until_at=NOW + 3 * HOUR + 14 * MINUTE)
    offer(canner)
    assert offers(canner) == []
    make_standby(canner, household, from_at=NOW, until_at=NOW + 3 * HOUR + 15 * MINUTE)
    offer(canner)
    assert offered_to(canner) == [household]


def test_who_had_least_of_the_kind_this_year_goes_first(canner, household, other_household):
    make_booking(make_thing(canner.coop), household, start=NOW - 24 * HOUR, hours=1)
    day = {"from_at": NOW + 24 * HOUR, "until_at": NOW + 27 * HOUR}
    make_standby(canner, household, at=NOW - 2 * HOUR, **day)
    make_standby(canner, other_household, at=NOW - HOUR, **day)
    offer(canner)
    assert offered_to(canner) == [other_household]


def test_of_equals_who_asked_first_goes_first(canner, household, other_household):
    day = {"from_at": NOW + 24 * HOUR, "until_at": NOW + 27 * HOUR}
    make_standby(canner, household, at=NOW - HOUR, **day)
    make_standby(canner, other_household, at=NOW - 2 * HOUR, **day)
    offer(canner)
    assert offered_to(canner) == [other_household]


@pytest.mark.parametrize(
    "not_counted",
    [
        {"start": NOW.replace(year=2025)},
        # Half past ten in the evening of 31 December in Denver; in UTC it is this year already.
        {"start": NOW.replace(year=2026, month=1, day=1, hour=5, minute=30), "hours": 1},
        {"cancelled_at": NOW},
    ],
)
def test_another_year_and_cancelled_time_do_not_count(
    canner, household, other_household, not_counted
):
    make_booking(canner, household, **not_counted)
    day = {"from_at": NOW + 48 * HOUR, "until_at": NOW + 51 * HOUR}
    make_standby(canner, household, at=NOW - 2 * HOUR, **day)
    make_standby(canner, other_household, at=NOW - HOUR, **day)
    offer(canner)
    assert offered_to(canner) == [household]


def test_another_kind_of_thing_does_not_count(canner, household, other_household):
    make_booking(make_thing(canner.coop, "dehydrator"), household, start=NOW - 48 * HOUR)
    day = {"from_at": NOW + 24 * HOUR, "until_at": NOW + 27 * HOUR}
    make_standby(canner, household, at=NOW - 2 * HOUR, **day)
    make_standby(canner, other_household, at=NOW - HOUR, **day)
    offer(canner)
    assert offered_to(canner) == [household]


def test_what_the_first_cannot_use_goes_to_the_next(canner, household, other_household):
    make_standby(canner, household, at=NOW - 2 * HOUR, minutes=600, until_at=NOW + 5 * HOUR)
    make_standby(canner, other_household, at=NOW - HOUR, until_at=NOW + 5 * HOUR)
    offer(canner)
    assert offered_to(canner) == [other_household]


def test_two_are_offered_times_one_after_the_other_with_the_turnaround_between(
    canner, household, other_household
):
    make_standby(canner, household, at=NOW - 2 * HOUR)
    make_standby(canner, other_household, at=NOW - HOUR)
    offer(canner)
    first, second = offers(canner)
    assert (first.household, second.household) == (household, other_household)
    assert second.starts_at == first.ends_at + 2 * HOUR


def test_a_time_between_bookings_is_offered_only_if_the_turnaround_fits(canner, household):
    make_booking(canner, start=NOW + 6 * HOUR)
    make_booking(canner, start=NOW + 15 * HOUR - MINUTE)
    make_standby(canner, household, from_at=NOW + 4 * HOUR, until_at=NOW + 15 * HOUR)
    offer(canner)
    # From 9:00 and 2 hours after the first until 2 hours before the second: two hours and 59.
    assert offers(canner) == []


def test_hours_are_kept(coop, household):
    # Tuesday in Denver is weekday 1; it is nine in the morning.
    canner = make_thing(coop, hours=[(1, 18 * 60, 22 * 60)])
    make_standby(canner, household)
    offer(canner)
    assert offers(canner)[0].starts_at == NOW + 9 * HOUR


def test_a_loan_longer_than_a_thing_is_lent_for_is_not_offered(coop, household):
    canner = make_thing(coop, longest_minutes=120)
    make_standby(canner, household, minutes=121)
    offer(canner)
    assert offers(canner) == []


@pytest.mark.parametrize("state", ["out of order", "retired"])
def test_what_cannot_be_booked_is_not_offered(canner, household, state):
    make_standby(canner, household)
    if state == "retired":
        canner.retired_at = NOW
        canner.save()
    else:
        make_fault(canner)
    offer(canner)
    assert offers(canner) == []


def test_a_household_is_not_offered_what_clashes_with_its_own_canning(canner, household):
    busy = make_booking(make_thing(canner.coop), household, start=NOW + HOUR, hours=4)
    make_standby(canner, household)
    offer(canner)
    assert [each.starts_at for each in offers(canner)] == [busy.ends_at]


def test_a_dehydrator_that_runs_by_itself_is_no_clash(canner, household):
    make_booking(make_thing(canner.coop, "dehydrator"), household, start=NOW, hours=24)
    make_standby(canner, household)
    offer(canner)
    assert offers(canner)[0].starts_at == NOW + 15 * MINUTE


def test_any_thing_of_the_kind_serves_who_did_not_name_one(canner, household):
    make_standby_for_any(canner, household)
    other_kind = make_thing(canner.coop, "dehydrator")
    offer(other_kind)
    assert offers(other_kind) == []
    offer(canner)
    assert offered_to(canner) == [household]


def test_another_thing_does_not_serve_who_named_one(canner, household):
    make_standby(make_thing(canner.coop), household)
    offer(canner)
    assert offers(canner) == []


def test_a_place_is_offered_one_time_at_once(canner, household):
    make_standby_for_any(canner, household)
    other = make_thing(canner.coop)
    offer(canner)
    offer(other)
    offer(canner)
    assert (len(offers(canner)), len(offers(other))) == (1, 0)


def test_a_household_that_left_is_offered_nothing(canner, household):
    make_standby(canner, household)
    household.left_at = NOW
    household.save()
    offer(canner)
    assert offers(canner) == []


def test_a_place_of_another_coop_is_offered_nothing(canner, other_coop):
    make_standby_for_any(make_thing(other_coop), make_household(other_coop))
    offer(canner)
    assert offers(canner) == []


def test_what_ends_by_itself_is_offered_with_its_likely_end(coop, household):
    dryer = make_thing(coop, "freeze_dryer")
    make_standby(dryer, household, minutes=40 * 60)
    offer(dryer)
    (held,) = offers(dryer)
    assert held.expected_at == held.starts_at + 28 * HOUR


def test_the_household_is_told_what_it_is_offered_and_until_when(canner, household):
    make_standby(canner, household, from_at=NOW + 48 * HOUR)
    offer(canner)
    told = Told.objects.get(household=household)
    assert told.what == Told.What.OFFERED
    # Nine in Denver and twelve hours; two days later at nine.
    assert "by Tue 11 Aug, 21:00: Thu 13 Aug, 9:00 to 12:00" in told.sentence


# ---- an offer runs out ------------------------------------------------------------------------
def test_an_offer_stands_until_its_last_second(canner, household):
    make_standby(canner, household, from_at=NOW + 48 * HOUR)
    offer(canner)
    lapse(canner, NOW + 12 * HOUR - timedelta(seconds=1))
    assert offered_to(canner) == [household]


def test_what_one_lets_lapse_the_next_is_offered(canner, household, other_household):
    day = {"from_at": NOW + 24 * HOUR, "until_at": NOW + 27 * HOUR}
    make_standby(canner, household, at=NOW - 2 * HOUR, **day)
    make_standby(canner, other_household, at=NOW - HOUR, **day)
    offer(canner)
    assert offered_to(canner) == [household]
    lapse(canner, NOW + 12 * HOUR)
    (held,) = offers(canner)
    assert held.household == other_household
    assert held.held_until == NOW + 24 * HOUR


def test_who_had_all_the_time_to_take_it_leaves_the_line(canner, household):
    place = make_standby(canner, household, from_at=NOW + 24 * HOUR)
    offer(canner)
    lapse(canner, NOW + 12 * HOUR)
    place.refresh_from_db()
    assert place.ended_at == NOW + 12 * HOUR
    assert Told.objects.filter(household=household, what="lapsed").count() == 1


def test_who_was_given_less_time_stays_in_line(canner, household):
    place = make_standby(canner, household, from_at=NOW + HOUR)
    offer(canner)
    lapse(canner, NOW + HOUR)
    place.refresh_from_db()
    assert place.ended_at is None
    assert "You are still in line." in Told.objects.get(what="lapsed").sentence


def test_what_lapsed_is_not_offered_to_the_same_place_again(canner, household):
    make_standby(canner, household, from_at=NOW + HOUR, until_at=NOW + 6 * HOUR)
    offer(canner)
    lapse(canner, NOW + HOUR)
    assert offers(canner) == []


def test_who_could_not_take_it_for_a_fault_stays_in_line(canner, household):
    place = make_standby(canner, household, from_at=NOW + 24 * HOUR)
    offer(canner)
    make_fault(canner)
    lapse(canner, NOW + 12 * HOUR)
    place.refresh_from_db()
    assert place.ended_at is None


def test_lapsing_twice_does_no_harm(canner, household):
    make_standby(canner, household, from_at=NOW + 24 * HOUR)
    offer(canner)
    lapse(canner, NOW + 12 * HOUR)
    lapse(canner, NOW + 12 * HOUR)
    assert Told.objects.filter(what="lapsed").count() == 1


@pytest.mark.sqlite  # about the page alone
def test_without_anybody_in_line_it_costs_two_queries(canner, django_assert_num_queries):
    with transaction.atomic():
        thing = lock_thing(canner.coop, canner.pk)
        with django_assert_num_queries(2):
            offer_openings(thing, NOW)
        with django_assert_num_queries(1):
            lapse_offers(thing, NOW)


@pytest.mark.parametrize(("gauge", "is_offered"), [("dial", True), ("weighted", False), ("", True)])
def test_who_wants_a_gauge_is_offered_only_such_a_canner(coop, household, gauge, is_offered):
    canner = make_thing(coop, gauge="dial")
    place = make_standby_for_any(canner, household)
    place.gauge = gauge
    place.save()
    offer(canner)
    assert bool(offers(canner)) is is_offered


# ---- at what hours ----------------------------------------------------------------------------
NOON = NOW.replace(hour=18)  # in Denver, in August


@pytest.mark.parametrize(
    ("minutes", "free_from", "start"),
    [
        (180, NOON + 7 * HOUR, NOON + 7 * HOUR),  # 19:00 to 22:00
        (180, NOON + 8 * HOUR, NOON + 18 * HOUR),  # would end at 23:00
        (180, NOON + 14 * HOUR, NOON + 18 * HOUR),  # would begin at 2:00
        (16 * 60, NOON, NOON + 18 * HOUR),  # a whole waking day
        (20 * 60, NOON + 14 * HOUR, NOON + 18 * HOUR),  # longer: it begins by day
    ],
)
def test_nothing_is_offered_at_night(canner, household, minutes, free_from, start):
    make_booking(canner, start=NOW, hours=(free_from - NOW) / HOUR - 2)
    make_standby(canner, household, minutes=minutes)
    offer(canner)
    (held,) = offers(canner)
    assert held.starts_at == start


def test_at_night_no_one_is_kept_from_what_another_will_not_be_offered(canner, household):
    make_booking(canner, start=NOON + 22 * HOUR, hours=400)
    make_booking(canner, start=NOW, hours=11)
    make_standby(canner, household)
    offer(canner)
    assert not offers(canner)


def test_who_asked_for_the_night_is_offered_it(canner, household):
    late = NOON + 11 * HOUR  # 23:00
    make_standby(canner, household, from_at=late, until_at=late + 5 * HOUR)
    offer(canner)
    (held,) = offers(canner)
    assert held.starts_at == late


def test_what_is_only_offered_does_not_count_as_had(canner, coop, household):
    other = make_thing(coop, name="Big Red")
    make_booking(
        other, household, hours=14, held_until=NOW + HOUR, standby=make_standby(other, household)
    )
    make_booking(other, household, start=NOW + 48 * HOUR, hours=3)
    assert minutes_had(coop, [canner.kind], NOW)[canner.kind] == {household.pk: 180}


def test_what_the_run_before_took_is_offered_again_once_it_is_free(canner, household):
    place = make_standby(canner, household)
    offer(canner)
    (held,) = offers(canner)
    held.cancelled_at = NOW  # let go by the clock, without anybody's word
    held.save()
    offer(canner)
    (again,) = offers(canner)
    assert (again.standby, again.starts_at) == (place, held.starts_at)


def test_one_thing_that_fails_stops_no_other(coop, household, monkeypatch):
    things = [make_thing(coop, name=name) for name in ("First", "Second", "Third")]
    for thing in things:
        make_standby(thing, household)
    real = sweep.offer_openings

    def failing(thing, now):
        if thing.name == "First":
            raise RuntimeError("The row is bad.")
        real(thing, now)

    monkeypatch.setattr(sweep, "offer_openings", failing)
    assert let_offers_lapse() == 2
    assert [len(offers(thing)) for thing in things] == [0, 1, 1]
