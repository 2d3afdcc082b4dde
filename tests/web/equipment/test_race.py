"""Many want the same thing at the same moment, each over a connection of their own."""

import os
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import connection, connections

from coop.equipment.actions import booking as acts_of_booking
from coop.equipment.actions import rules
from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.changing import cancel, move
from coop.equipment.actions.fitness import Report, report_fault
from coop.equipment.errors import NotFit, Refused, Taken, TooLate
from coop.equipment.models import Booking, Thing
from coop.people.actions.households import end_household
from tests.web import factories
from tests.web.equipment_factories import HOUR, make_booking, make_thing
from tests.web.factories import NOW

#: So many connections at once, and so many times; by hand RACE_ROUNDS=200 on both databases.
CONNECTIONS, ROUNDS = 32, int(os.environ.get("RACE_ROUNDS", "10"))
TURNAROUND = timedelta(minutes=120)
PATIENCE = 120  # seconds until a thread that waits for the others gives up
many_times = pytest.mark.parametrize("attempt", range(2))


@pytest.fixture
def bookers(transactional_db):
    """A member each of as many households as there are connections."""
    coop = factories.make_coop()
    return [factories.make_member(factories.make_household(coop)) for _ in range(CONNECTIONS)]


def in_rounds(acts, rounds):
    """Do all the acts at one moment, so many times over, each act over one connection of its own.

    An act gets the number of the round. Returns what they came to, by round; a Refused is a result.
    """
    barrier = threading.Barrier(len(acts), timeout=PATIENCE)

    def run(act):
        try:
            connection.ensure_connection()
            return [_come_to(act, barrier, number) for number in range(rounds)]
        except BaseException:
            barrier.abort()
            raise
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(zip(*pool.map(run, acts), strict=True))


def _come_to(act, barrier, number):
    barrier.wait()
    try:
        return act(number)
    except Refused as refusal:
        return refusal


def wish(thing, start=NOW, hours=3):
    return Wish(thing.pk, start, start + hours * HOUR)


def booker_of(thing, *, later=timedelta(days=1)):
    """An act for a member that books a thing for three hours, each round a day later."""

    def by_member(member):
        return lambda number: book(
            [wish(thing, NOW + number * later)], household=member.household, by=member
        )

    return by_member


def overlaps():
    """Pairs of bookings of one thing that overlap, turnaround included, found without the site."""
    rows = list(
        Booking.objects.filter(cancelled_at=None)
        .order_by("thing_id", "starts_at")
        .values_list("thing_id", "starts_at", "free_at")
    )
    return [(a, b) for a, b in pairwise(rows) if a[0] == b[0] and a[2] > b[1]]


def test_of_thirty_two_who_want_one_time_one_has_it_and_the_others_are_told_when(bookers):
    thing = make_thing(bookers[0].coop, turnaround_minutes=120)
    acts = [booker_of(thing)(member) for member in bookers]
    came_to = in_rounds(acts, ROUNDS)
    assert len(came_to) == ROUNDS
    for number, results in enumerate(came_to):
        won = [each for each in results if isinstance(each, list)]
        lost = [each for each in results if isinstance(each, Taken)]
        assert (len(won), len(lost)) == (1, CONNECTIONS - 1)
        start = NOW + timedelta(days=number)
        # The slot of every round ends where the first free time begins, turnaround between.
        assert {each.free[0][0] for each in lost} == {start + 3 * HOUR + TURNAROUND}
    assert Booking.objects.count() == ROUNDS  # none lost
    assert overlaps() == []


def test_the_database_decides_where_nobody_takes_the_lock_and_nobody_looks(bookers, monkeypatch):
    things = Thing.objects.select_related("coop", "owner")
    monkeypatch.setattr(
        acts_of_booking, "lock_things", lambda coop, keys: list(things.filter(pk__in=keys))
    )
    monkeypatch.setattr(rules, "require_free", lambda *args, **options: None)
    thing = make_thing(bookers[0].coop)
    came_to = in_rounds([booker_of(thing)(member) for member in bookers[:8]], 3)
    for results in came_to:
        assert sum(isinstance(each, list) for each in results) == 1
        assert all(each.free for each in results if isinstance(each, Taken))
        assert sum(isinstance(each, Taken) for each in results) == 7
    assert overlaps() == []


def test_two_who_want_two_things_in_opposite_orders_do_not_wait_for_each_other(bookers):
    things = [make_thing(bookers[0].coop) for _ in range(2)]
    orders = [things, things[::-1]] * 4

    def by_member(member, wanted):
        return lambda number: book(
            [wish(each, NOW + timedelta(days=number)) for each in wanted],
            household=member.household,
            by=member,
        )

    came_to = in_rounds([by_member(*pair) for pair in zip(bookers, orders, strict=False)], 5)
    for results in came_to:
        won = [each for each in results if isinstance(each, list)]
        assert [len(each) for each in won] == [2]  # both things, or none
        assert sum(isinstance(each, Taken) for each in results) == 7
    assert Booking.objects.count() == 10


def test_times_that_only_touch_are_all_booked(bookers):
    thing = make_thing(bookers[0].coop, turnaround_minutes=60)

    def by_member(place, member):
        start = NOW + place * 4 * HOUR
        return lambda _: book([wish(thing, start)], household=member.household, by=member)

    [results] = in_rounds([by_member(*pair) for pair in enumerate(bookers[:8])], 1)
    assert [type(each) for each in results] == [list] * 8
    assert overlaps() == []


@many_times
def test_a_booking_and_a_fault_at_once_leave_no_booking_that_nobody_was_told_of(bookers, attempt):
    thing = make_thing(bookers[0].coop)
    booker, finder = bookers[:2]
    broken = Report("damaged", "The lid leaks.", could_hurt=True)
    [results] = in_rounds(
        [
            lambda _: book([wish(thing)], household=booker.household, by=booker),
            lambda _: report_fault(thing.pk, broken, by=finder),
        ],
        1,
    )
    was_booked = isinstance(results[0], list)
    assert was_booked or isinstance(results[0], NotFit)
    assert booker.household.told.filter(what="out_of_order").exists() == was_booked


@many_times
def test_a_move_and_a_booking_of_the_same_time_leave_one_there(bookers, attempt):
    mover, booker = bookers[:2]
    mine = make_booking(make_thing(mover.coop), mover.household)
    [results] = in_rounds(
        [
            lambda _: move(mine.pk, NOW, NOW + HOUR, by=mover),
            lambda _: book([wish(mine.thing)], household=booker.household, by=booker),
        ],
        1,
    )
    assert sum(isinstance(each, Taken) for each in results) == 1
    assert overlaps() == []


@many_times
def test_one_booking_is_cancelled_once(bookers, attempt):
    mine = make_booking(make_thing(bookers[0].coop), bookers[0].household)
    other = factories.make_member(bookers[0].household)
    [results] = in_rounds(
        [lambda _, by=by: cancel(mine.pk, by=by) for by in (bookers[0], other)], 1
    )
    assert sorted(type(each).__name__ for each in results) == ["TooLate", "list"]


@many_times
def test_the_same_form_sent_twice_at_once_books_once(bookers, attempt):
    thing = make_thing(bookers[0].coop)
    [results] = in_rounds([booker_of(thing)(bookers[0])] * 2, 1)
    assert results[0] == results[1]
    assert Booking.objects.count() == 1


@many_times
def test_nobody_leaves_with_a_thing_booked_at_that_moment(bookers, attempt):
    coop, leaver = bookers[0].coop, bookers[1]
    factories.make_member(bookers[0].household, roles=["coordinator"])
    thing = make_thing(coop)
    [(booked, _)] = in_rounds(
        [
            lambda _: book([wish(thing, NOW + HOUR)], household=leaver.household, by=leaver),
            lambda _: end_household(leaver.household_id, by=leaver),
        ],
        1,
    )
    leaver.household.refresh_from_db()
    assert isinstance(booked, list | TooLate)
    assert (leaver.household.left_at is None) == isinstance(booked, list)
