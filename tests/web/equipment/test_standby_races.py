"""Offers taken, lapsing and booked over at the same moment, over connections of their own."""

from datetime import timedelta

import pytest
from django.db import transaction

from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import lapse_offers, offer_openings
from coop.equipment.actions.standby import end_standby, pass_on, take
from coop.equipment.models import Booking, Standby, Told
from coop.equipment.tasks import let_offers_lapse
from tests.web import factories
from tests.web.at_once import at_once
from tests.web.equipment_factories import HOUR, make_standby, make_thing
from tests.web.factories import NOW

many_times = pytest.mark.parametrize("attempt", range(2))
TOMORROW = NOW + 24 * HOUR


@pytest.fixture
def canner(transactional_db):
    return make_thing(factories.make_coop(), name="Big Blue")


@pytest.fixture
def brandts(canner):
    """Two members of a household."""
    household = factories.make_household(canner.coop, "Brandt")
    return [factories.make_member(household) for _ in range(2)]


def offer(thing, household, **fields):
    """An offer of three hours tomorrow to a household in line."""
    place = make_standby(thing, household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR, **fields)
    open_up(thing)
    return Booking.objects.get(standby=place)


def open_up(thing, now=NOW):
    with transaction.atomic():
        offer_openings(lock_thing(thing.coop, thing.pk), now)


def lapse(thing, now):
    with transaction.atomic():
        lapse_offers(lock_thing(thing.coop, thing.pk), now)


@many_times
def test_two_who_take_at_once_take_it_once(canner, brandts, attempt):
    held = offer(canner, brandts[0].household)
    results = at_once(*(lambda by=each: take(held.pk, by=by) for each in brandts))
    assert results == ["TooLate", "done"]
    assert Booking.objects.filter(cancelled_at=None, held_until=None).count() == 1


@many_times
def test_taking_and_passing_on_at_once_is_one_of_them(canner, brandts, attempt):
    held = offer(canner, brandts[0].household)
    results = at_once(lambda: take(held.pk, by=brandts[0]), lambda: pass_on(held.pk, by=brandts[1]))
    assert results == ["TooLate", "done"]
    held.refresh_from_db()
    assert (held.cancelled_at is None) == (held.held_until is None)


@many_times
def test_at_its_last_moment_an_offer_is_taken_or_lapses(canner, brandts, attempt):
    held = offer(canner, brandts[0].household)
    last = held.held_until - timedelta(seconds=1)
    results = at_once(
        lambda: take(held.pk, by=brandts[0], now=last), lambda: lapse(canner, held.held_until)
    )
    held.refresh_from_db()
    if results == ["done", "done"]:
        assert (held.held_until, held.cancelled_at) == (None, None)
    else:
        assert results == ["TooLate", "done"]
        assert held.cancel_why == "The offer ran out."


@many_times
def test_another_household_cannot_book_over_an_offer(canner, brandts, attempt):
    held = offer(canner, brandts[0].household)
    other = factories.make_member(factories.make_household(canner.coop))
    wish = [Wish(canner.pk, held.starts_at, held.ends_at)]
    results = at_once(
        lambda: take(held.pk, by=brandts[0]),
        lambda: book(wish, household=other.household, by=other),
    )
    assert results == ["Taken", "done"]
    assert Booking.objects.get().household == brandts[0].household


@many_times
def test_what_ran_out_goes_to_the_next_in_line_and_not_to_who_books_then(canner, brandts, attempt):
    held = offer(canner, brandts[0].household)
    following = factories.make_member(factories.make_household(canner.coop))
    make_standby(canner, following.household, from_at=TOMORROW, until_at=TOMORROW + 3 * HOUR)
    other = factories.make_member(factories.make_household(canner.coop))
    wish, late = [Wish(canner.pk, held.starts_at, held.ends_at)], held.held_until
    results = at_once(
        lambda: book(wish, household=other.household, by=other, now=late),
        lambda: lapse(canner, late),
    )
    assert results == ["Taken", "done"]
    assert Booking.objects.get(cancelled_at=None).household == following.household


@many_times
def test_two_things_that_open_at_once_are_offered_to_a_place_once(canner, brandts, attempt):
    other = make_thing(canner.coop)
    place = make_standby(canner, brandts[0].household)
    Standby.objects.filter(pk=place.pk).update(thing=None)
    assert at_once(lambda: open_up(canner), lambda: open_up(other)) == ["done", "done"]
    assert Booking.objects.filter(standby=place).count() == 1


@many_times
def test_leaving_and_being_offered_at_once_leaves_nothing_held(canner, brandts, attempt):
    place = make_standby(canner, brandts[0].household)
    results = at_once(lambda: end_standby(place.pk, by=brandts[0]), lambda: open_up(canner))
    assert results in (["done", "done"], ["TooLate", "done"])
    place.refresh_from_db()
    held = Booking.objects.filter(cancelled_at=None).exists()
    assert held == (place.ended_at is None)


@many_times
def test_two_clocks_at_once_let_go_once(canner, brandts, attempt, clock):
    held = offer(canner, brandts[0].household)
    clock.move_to(held.held_until)
    assert at_once(let_offers_lapse, let_offers_lapse) == ["done", "done"]
    assert Told.objects.filter(what="lapsed").count() == 1
