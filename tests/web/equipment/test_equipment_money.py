"""Deposits held and given back, fees charged: the books balance, and nothing is charged twice.

The sums are made by hand beside each check.
"""

from datetime import timedelta
from uuid import uuid4

import pytest

from coop.buying.actions.reversals import reverse as reverse_entry
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.money import settle_deposit
from coop.equipment.errors import AlreadyWritten, NotAllowed, Refused
from coop.equipment.models import Told
from coop.equipment.queries.costs import costs_before, costs_for, deposits_waiting, held_cents
from coop.money.actions.checks import check_books
from coop.money.models import Entry
from coop.people.hooks import reasons_to_stay
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member
from tests.web.money.books import balance, sum_of_balances

WELL, DAMAGED = FoundBack(bumped=False), FoundBack(bumped=False, condition="damaged")


@pytest.fixture
def owner(coop):
    """A household that lends its things."""
    household = make_household(coop, "Quist")
    make_member(household, "Ada Quist")
    return household


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop), "Hal", roles=["steward"])


def lent(household, owner=None, *, start=NOW, **fields):
    """A booking of a thing, of `owner` or of the co-op, for three hours."""
    thing = rows.make_thing(household.coop, "dehydrator", name="Dryer", owner=owner, **fields)
    return rows.make_booking(thing, household, start=start)


@pytest.fixture(autouse=True)
def _balanced(coop):
    """Whatever a test does: all balances add up to zero, and the nightly check finds nothing."""
    yield
    assert sum_of_balances(coop) == 0
    assert check_books(coop).finding.endswith("all balances add up to zero.")


# ---- the deposit --------------------------------------------------------------------------------
def test_a_deposit_is_owed_while_the_thing_is_out(household, member, owner, coop):
    booking = lent(household, owner, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    assert (balance(household), balance(coop), balance(owner)) == (-5000, 5000, 0)
    assert held_cents(booking) == 5000


def test_a_clean_return_gives_it_back_at_once(household, member, owner, coop):
    booking = lent(household, owner, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    assert hand_back(booking.pk, WELL, by=member).deposit_back.kind == Entry.Kind.DEPOSIT_BACK
    assert (balance(household), balance(coop), balance(owner)) == (0, 0, 0)
    assert held_cents(booking) == 0


def test_a_return_with_a_fault_waits_for_a_keeper(household, member, coop):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    assert hand_back(booking.pk, DAMAGED, by=member).deposit_back is None
    assert balance(household) == -5000
    assert list(deposits_waiting(coop)) == [booking]


def test_what_is_kept_goes_to_the_owner(household, member, owner, coop):
    booking = lent(household, owner, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, DAMAGED, by=member)
    settled = settle_deposit(booking.pk, 1200, "a new lid", by=owner.members.get())
    # 50.00 held and given back, 12.00 for the lid: the household owes 12.00, the owner is owed it.
    assert (balance(household), balance(coop), balance(owner)) == (-1200, 0, 1200)
    assert settled.sentence == (
        f"Of the deposit of $50.00, $38.00 goes back to Castell; $12.00 is kept for {owner}: a new "
        "lid"
    )
    told = Told.objects.get(household=household)
    assert "$12.00 is kept" in told.sentence
    kinds = [(entry.kind, entry.movements.get().cents) for entry in (settled.back, settled.kept)]
    assert kinds == [(Entry.Kind.DEPOSIT_BACK, 5000), (Entry.Kind.FEE, 1200)]


def test_what_is_kept_of_the_co_ops_thing_stays_in_the_till(household, member, steward, coop):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, DAMAGED, by=member)
    settle_deposit(booking.pk, 5000, "beyond repair", by=steward)
    assert (balance(household), balance(coop)) == (-5000, 5000)
    assert held_cents(booking) == 0


def test_who_paid_the_deposit_in_is_owed_it_back(household, member, coop, treasurer):
    from coop.money.actions.till import pay_in

    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    pay_in(household, 5000, by=treasurer)
    assert balance(household) == 0
    hand_back(booking.pk, WELL, by=member)
    assert (balance(household), balance(coop)) == (5000, -5000)


def test_ones_own_thing_costs_nothing(owner):
    booking = lent(owner, owner, deposit_cents=5000, fee_cents=500)
    by = owner.members.get()
    hand_out(booking.pk, Found(), by=by)
    hand_back(booking.pk, WELL, by=by)
    assert not Entry.objects.exists()
    assert not costs_before(booking.thing, owner, NOW, NOW + HOUR).is_any


@pytest.mark.parametrize(
    ("kept", "why", "field"),
    [(5001, "more than all", "kept_cents"), (-1, "less", "kept_cents"), (100, "  ", "why")],
)
def test_what_cannot_be_kept_is_refused(household, member, steward, kept, why, field):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, DAMAGED, by=member)
    with pytest.raises(Refused) as refusal:
        settle_deposit(booking.pk, kept, why, by=steward)
    assert refusal.value.field == field
    assert held_cents(booking) == 5000


def test_it_is_given_back_once(household, member, steward):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, DAMAGED, by=member)
    settle_deposit(booking.pk, 0, "", by=steward)
    with pytest.raises(AlreadyWritten):
        settle_deposit(booking.pk, 0, "", by=steward)
    assert balance(household) == 0


def test_it_is_not_given_back_while_the_thing_is_out(household, member, steward):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    with pytest.raises(Refused, match="when the thing is back"):
        settle_deposit(booking.pk, 0, "", by=steward)


def waiting(household, member, owner=None):
    booking = lent(household, owner, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, DAMAGED, by=member)
    return booking


@pytest.mark.parametrize("who", ["steward", "treasurer", "coordinator", "owner"])
def test_its_keepers_and_the_treasurer_give_it_back(who, request, household, member, owner):
    booking = waiting(household, member, owner)
    by = request.getfixturevalue(who)
    by = by.members.get() if who == "owner" else by
    assert settle_deposit(booking.pk, 100, "soot", by=by).back.made_by == by


@pytest.mark.parametrize("who", ["member", "other_household_member"])
def test_others_do_not(who, request, household, member, owner):
    booking = waiting(household, member, owner)
    with pytest.raises(NotAllowed):
        settle_deposit(booking.pk, 0, "", by=request.getfixturevalue(who))


def test_a_steward_does_not_give_a_deposit_back_to_themselves(steward):
    booking = waiting(steward.household, steward)
    with pytest.raises(NotAllowed):
        settle_deposit(booking.pk, 0, "", by=steward)


def test_after_two_weeks_it_is_given_back_whole_and_by_the_household_too(
    household, member, steward, clock
):
    booking = waiting(household, member)
    clock.shift(timedelta(days=15))
    with pytest.raises(Refused, match="given back whole"):
        settle_deposit(booking.pk, 100, "too late", by=steward)
    settle_deposit(booking.pk, 0, "", by=member)
    assert balance(household) == 0


def test_nobody_leaves_while_a_deposit_waits(household, member):
    waiting(household, member)
    reasons = [said for ask in reasons_to_stay for said in ask(household)]
    assert any("deposit of Castell" in said for said in reasons)


# ---- the fee ------------------------------------------------------------------------------------
def had(household, member, owner, hours, **fields):
    """What the household owes after so many hours with a thing that was booked for three."""
    booking = lent(household, owner, **fields)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, WELL, by=member, now=NOW + hours * HOUR)
    return -balance(household)


@pytest.mark.parametrize(
    ("hours", "cents"),
    [
        (1, 600),  # back early: the three booked hours at 2.00
        (3, 600),
        (3 + 1 / 60, 800),  # a minute into the fourth
        (5, 1000),
    ],
)
def test_an_hourly_fee_is_for_what_was_booked_or_had(household, member, owner, hours, cents):
    assert had(household, member, owner, hours, fee_cents=200, fee_per="hour") == cents
    assert balance(owner) == cents


def test_taken_early_the_earlier_hours_count(household, member, owner):
    booking = lent(household, owner, start=NOW + 2 * HOUR, fee_cents=200, fee_per="hour")
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, WELL, by=member, now=NOW + 5 * HOUR)
    assert balance(household) == -1000


def test_a_fee_for_a_use_is_the_same_for_any_time(household, member, owner):
    assert had(household, member, owner, 9, fee_cents=500, fee_per="use") == 500


def test_the_fee_of_the_co_ops_thing_goes_to_the_till(household, member, coop):
    assert had(household, member, None, 3, fee_cents=500) == 500
    assert balance(coop) == 500


def test_a_fee_is_charged_once(household, member, owner):
    booking = lent(household, owner, fee_cents=500)
    hand_out(booking.pk, Found(), by=member, once=uuid4())
    once = uuid4()
    hand_back(booking.pk, WELL, by=member, once=once)
    with pytest.raises(AlreadyWritten):
        hand_back(booking.pk, WELL, by=member, once=once)
    assert balance(household) == -500


def test_an_entry_names_its_booking(household, member, owner):
    booking = lent(household, owner, fee_cents=500)
    hand_out(booking.pk, Found(), by=member)
    entry = hand_back(booking.pk, WELL, by=member).fee
    assert entry.reference == f"equipment/bookings/{booking.pk}/"
    assert entry.note == "$5.00 a use"  # however long it was had


# ---- reversals ----------------------------------------------------------------------------------
def test_a_fee_that_was_reversed_is_not_owed(household, member, owner, treasurer):
    booking = lent(household, owner, fee_cents=500)
    hand_out(booking.pk, Found(), by=member)
    reverse_entry(hand_back(booking.pk, WELL, by=member).fee, why="did not run", by=treasurer)
    assert (balance(household), balance(owner)) == (0, 0)
    booking.refresh_from_db()
    [moved] = costs_for(member, booking, NOW).moved
    assert moved.is_reversed


def test_a_deposit_reversed_while_out_is_not_given_back(household, member, treasurer):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    reverse_entry(Entry.objects.get(), why="trusted", by=treasurer)
    assert hand_back(booking.pk, WELL, by=member).deposit_back is None
    assert balance(household) == 0


def test_a_deposit_given_back_is_not_reversed_before_that(household, member, treasurer):
    booking = lent(household, deposit_cents=5000)
    hand_out(booking.pk, Found(), by=member)
    held = Entry.objects.get()
    back = hand_back(booking.pk, WELL, by=member).deposit_back
    with pytest.raises(Refused, match="Reverse first"):
        reverse_entry(held, why="wrong", by=treasurer)
    reverse_entry(back, why="wrong", by=treasurer)
    reverse_entry(held, why="wrong", by=treasurer)
    assert balance(household) == 0


def test_a_giving_back_that_was_reversed_can_be_done_anew(household, member, steward, treasurer):
    booking = waiting(household, member)
    first = settle_deposit(booking.pk, 300, "soot", by=steward)
    with pytest.raises(Refused, match="Reverse first: “Kept of the deposit of Castell for Dryer”"):
        reverse_entry(first.back, why="forgot", by=treasurer)
    reverse_entry(first.kept, why="forgot", by=treasurer)
    reverse_entry(first.back, why="forgot", by=treasurer)
    assert held_cents(booking) == 5000
    settle_deposit(booking.pk, 700, "the tray", by=steward)
    assert balance(household) == -700
