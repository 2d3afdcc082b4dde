"""Two people write on one thing at the same moment, over connections of their own."""

import pytest

from coop.buying.actions.reversals import reverse as reverse_entry
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.money import settle_deposit
from coop.equipment.actions.walk_up import take_now
from coop.equipment.models import Booking, Handover, Told
from coop.equipment.queries.costs import held_cents
from coop.money.models import Entry
from tests.web import equipment_factories as rows
from tests.web.at_once import at_once
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_coop, make_household, make_member
from tests.web.money.books import balance, sum_of_balances

many_times = pytest.mark.parametrize("attempt", range(2))
OUT, WELL = Found(), FoundBack(bumped=False)
DAMAGED = FoundBack(bumped=False, condition="damaged")


@pytest.fixture
def people(transactional_db):
    """Two members of one household."""
    household = make_household(make_coop(), "Castell")
    return [make_member(household) for _ in range(2)]


@pytest.fixture
def steward(people):
    """Looks after all equipment."""
    return make_member(make_household(people[0].coop), roles=["steward", "treasurer"])


def lent(household, **fields):
    thing = rows.make_thing(household.coop, deposit_cents=5000, fee_cents=500, **fields)
    return rows.make_booking(thing, household, start=NOW)


@many_times
def test_a_thing_goes_out_once(people, attempt):
    booking = lent(people[0].household)
    results = at_once(*(lambda by=by: hand_out(booking.pk, OUT, by=by) for by in people))
    assert results == ["AlreadyWritten", "done"]
    assert (Handover.objects.count(), Entry.objects.count()) == (1, 1)
    assert balance(people[0].household) == -5000


@many_times
def test_a_thing_comes_back_once_and_is_charged_once(people, attempt):
    booking = lent(people[0].household)
    hand_out(booking.pk, OUT, by=people[0])
    results = at_once(*(lambda by=by: hand_back(booking.pk, WELL, by=by) for by in people))
    assert results == ["AlreadyWritten", "done"]
    # 50.00 held and given back, 5.00 for the use.
    assert balance(people[0].household) == -500
    assert sum_of_balances(people[0].coop) == 0


@many_times
def test_a_thing_goes_out_with_one_of_two_bookings(people, steward, attempt):
    booking = lent(people[0].household)
    other = make_member(make_household(people[0].coop))
    theirs = rows.make_booking(booking.thing, other.household, start=NOW + 3 * HOUR)
    then = NOW + 2.75 * HOUR  # within the time of one, and about that of the other
    results = at_once(
        lambda: hand_out(booking.pk, OUT, by=people[0], now=then),
        lambda: hand_out(theirs.pk, OUT, by=other, now=then),
    )
    # Who comes second finds it gone; who comes first before its time finds the other's time on.
    assert results in (["StillOut", "done"], ["TooLate", "done"])
    assert Handover.objects.count() == 1


@many_times
def test_of_two_who_walk_up_one_takes_it(people, attempt):
    thing = rows.make_thing(people[0].coop)
    other = make_member(make_household(people[0].coop))
    results = at_once(
        *(
            lambda by=by: take_now(
                thing.pk, NOW + HOUR, OUT, household=by.household, by=by, now=NOW
            )
            for by in (people[0], other)
        )
    )
    assert results == ["StillOut", "done"]
    assert Booking.objects.count() == 1


@many_times
def test_a_household_that_walks_up_twice_takes_it_once(people, attempt):
    thing = rows.make_thing(people[0].coop)
    take = [
        lambda by=by: take_now(thing.pk, NOW + HOUR, OUT, household=by.household, by=by, now=NOW)
        for by in people
    ]
    assert at_once(*take) == ["AlreadyWritten", "done"]
    assert Booking.objects.count() == 1


@many_times
def test_a_deposit_is_given_back_once(people, steward, attempt):
    booking = lent(people[0].household)
    hand_out(booking.pk, OUT, by=people[0])
    hand_back(booking.pk, DAMAGED, by=people[0])
    give = [
        lambda kept=kept: settle_deposit(booking.pk, kept, "soot", by=steward) for kept in (0, 900)
    ]
    assert at_once(*give) == ["AlreadyWritten", "done"]
    assert held_cents(booking) == 0
    assert balance(people[0].household) in (-500, -1400)


@many_times
def test_a_deposit_is_not_given_back_and_reversed(people, steward, attempt):
    booking = lent(people[0].household)
    hand_out(booking.pk, OUT, by=people[0])
    held = Entry.objects.get()
    hand_back(booking.pk, DAMAGED, by=people[0])
    results = at_once(
        lambda: settle_deposit(booking.pk, 0, "", by=steward),
        lambda: reverse_entry(held, why="wrong", by=steward),
    )
    assert results in (["AlreadyWritten", "done"], ["Refused", "done"])
    assert balance(people[0].household) == -500


@many_times
def test_who_is_next_is_told_once(people, attempt):
    booking = rows.make_booking(rows.make_thing(people[0].coop), people[0].household, start=NOW)
    rows.make_out(booking)
    rows.make_booking(booking.thing, start=NOW + 4 * HOUR)
    look = [lambda: tell_late(booking.coop, NOW + 4 * HOUR)] * 2
    assert at_once(*look) == ["done", "done"]
    assert Told.objects.filter(what="late").count() == 1
