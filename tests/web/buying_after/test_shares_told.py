"""From the division to the last box fetched: who is told of its share, and who still to come."""

from dataclasses import replace
from datetime import timedelta

import pytest

from coop.buying.actions.buys import change_buy, plan_of, rules_of
from coop.buying.actions.call_in import step_back
from coop.buying.actions.charges import charge_produce
from coop.buying.actions.divide import withdraw_division
from coop.buying.actions.pickup import tick_claim, tick_household, tick_share, untick_share
from coop.buying.actions.reversals import reverse
from coop.buying.actions.spare import claim_spare
from coop.buying.models import Buy, Division, Share, Spare
from coop.buying.notices.kinds import NEWS, PICKUP, TO_RUN, UNFETCHED
from coop.buying.tasks import release_unfetched_shares
from coop.notices.models import Matter
from tests.web.buys_told import (
    BARN,
    PICKUP_ENDS,
    ask,
    divide,
    dues,
    hours_before,
    letters,
    order,
    posted,
    tally,
)
from tests.web.buys_told import PICKUP as PICKUP_BEGINS

pytestmark = pytest.mark.django_db
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
PICKUP_SAID = "Sweet corn: pickup Sat 15 Aug, 8:00 to 10:00"


@pytest.fixture
def tallied(coordinator, member, other_household_member):
    """70 lb asked by two households, 60 lb came."""
    buy = posted(coordinator, no_show_cents=500, grace_minutes=45)
    ask(buy, member, 500)
    ask(buy, other_household_member, 200)
    order(buy, coordinator)
    tally(buy, coordinator, gross=600)
    letters()
    return buy


@pytest.fixture
def divided(tallied, coordinator):
    """40 lb and 20 lb; nobody was told yet."""
    divide(tallied, coordinator)
    return Buy.objects.get(pk=tallied.pk)


def share_of(member):
    return Share.objects.get(household=member.household, division__withdrawn_at=None)


def move_pickup(buy, by, **plan):
    buy = Buy.objects.get(pk=buy.pk)
    change_buy(buy.pk, replace(plan_of(buy), **plan), rules_of(buy), by=by)


# ---- Divided ----------------------------------------------------------------------------------
def test_each_household_is_told_its_share_at_once(divided, member, other_household_member):
    first = f"Fetch it Sat 15 Aug, 8:00 to 10:00: {BARN}."
    assert letters() == {
        member.user.email: ("Sweet corn: your share is 40 lb", first),
        other_household_member.user.email: ("Sweet corn: your share is 20 lb", first),
    }
    assert Matter.objects.filter(kind=NEWS.code, details=["You asked for 50 lb sweet corn."])


def test_who_gets_nothing_is_told_so(coordinator, member, other_household_member):
    buy = posted(coordinator)
    ask(buy, member, 350)
    ask(buy, other_household_member, 350, at_least=350, or_none=True)
    order(buy, coordinator)
    tally(buy, coordinator, gross=340)
    letters()
    divide(buy, coordinator)
    assert letters()[other_household_member.user.email] == (
        "Sweet corn: your share is nothing this time",
        "You have nothing to fetch: none of it fell to you.",
    )
    assert dues(other_household_member, PICKUP.code) == []


def test_a_division_that_is_withdrawn_is_told_no_more_and_the_next_one_is(
    divided, coordinator, member, clock
):
    letters()
    clock.shift(HOUR)
    withdraw_division(Division.objects.get(), why="A box was forgotten.", by=coordinator)
    assert letters() == {}
    divide(divided, coordinator)
    assert member.user.email in letters()
    told = Matter.objects.filter(household=member.household, title__contains="share is")
    assert [each.dropped_at is None for each in told.order_by("pk")] == [False, True]


# ---- The pickup -------------------------------------------------------------------------------
def test_who_has_something_to_fetch_is_told_a_day_and_two_hours_before(
    tallied, coordinator, member, clock
):
    assert dues(member, PICKUP.code) == hours_before(PICKUP_BEGINS, 24, 2)
    divide(tallied, coordinator)
    letters()
    clock.move_to(PICKUP_BEGINS - 24 * HOUR)
    assert letters()[member.user.email] == (
        PICKUP_SAID,
        f"Fetch 40 lb sweet corn Sat 15 Aug, 8:00 to 10:00: {BARN}.",
    )


def test_who_asked_for_nothing_is_not_told_of_the_pickup(tallied, coordinator):
    assert dues(coordinator, PICKUP.code) == []


def test_a_pickup_that_moves_takes_what_is_told_of_it_along(tallied, coordinator, member):
    later = PICKUP_BEGINS + 3 * HOUR
    move_pickup(tallied, coordinator, pickup_from=later, pickup_to=later + 2 * HOUR)
    assert dues(member, PICKUP.code) == hours_before(later, 24, 2)
    entry = Matter.objects.get(kind=PICKUP.code, household=member.household)
    assert (entry.at, entry.ends_at, entry.sequence) == (later, later + 2 * HOUR, 1)


def test_who_has_fetched_all_before_the_pickup_is_not_told_to_come(divided, coordinator, member):
    tick_share(share_of(member), by=coordinator)
    assert dues(member, PICKUP.code) == []
    untick_share(share_of(member), by=coordinator)
    assert dues(member, PICKUP.code) == hours_before(PICKUP_BEGINS, 24, 2)


def test_a_pickup_that_took_place_stays_in_the_calendar(divided, coordinator, member, clock):
    clock.move_to(PICKUP_BEGINS + HOUR)
    tick_household(divided, member.household, by=coordinator)
    assert Matter.objects.get(kind=PICKUP.code, household=member.household).dropped_at is None


def test_what_is_claimed_from_the_spare_table_is_to_be_fetched_too(
    divided, coordinator, member, clock
):
    clock.move_to(PICKUP_ENDS + 45 * MINUTE)
    release_unfetched_shares()
    spare = Spare.objects.get(share__household=member.household)
    claim_spare(spare, coordinator.household, 100, by=coordinator)
    claimed = Matter.objects.get(kind=PICKUP.code, household=coordinator.household)
    assert claimed.to_do.startswith("Fetch 10 lb sweet corn ")


def test_who_has_fetched_its_claim_before_the_pickup_is_not_told_to_come(tallied, coordinator):
    step_back(tallied.pk, "A box was forgotten.", by=coordinator)
    tally(tallied, coordinator, gross=800)
    divide(tallied, coordinator)
    claim = claim_spare(Spare.objects.get(), coordinator.household, 100, by=coordinator)
    assert dues(coordinator, PICKUP.code) == hours_before(PICKUP_BEGINS, 24, 2)
    tick_claim(claim, by=coordinator)
    assert dues(coordinator, PICKUP.code) == []


# ---- Not fetched ------------------------------------------------------------------------------
def test_who_has_not_come_is_told_10_and_30_minutes_after(
    divided, coordinator, member, other_household_member, clock
):
    tick_household(divided, other_household_member.household, by=coordinator)
    clock.move_to(PICKUP_ENDS)
    letters()
    clock.shift(10 * MINUTE)
    assert letters() == {
        member.user.email: (
            "Sweet corn: your share waits until Sat 15 Aug at 10:45",
            f"Come now for 40 lb sweet corn, or send somebody: {BARN}.",
        )
    }
    waits = Matter.objects.get(kind=UNFETCHED.code, dropped_at=None)
    assert waits.details[0].endswith("stays yours to pay. Not coming costs $5.00.")
    assert dues(member, UNFETCHED.code) == [PICKUP_ENDS + 10 * MINUTE, PICKUP_ENDS + 30 * MINUTE]


def test_who_comes_late_is_told_no_more(divided, coordinator, member, clock):
    clock.move_to(PICKUP_ENDS + 20 * MINUTE)
    letters()
    tick_share(share_of(member), by=coordinator)
    clock.shift(10 * MINUTE)
    assert member.user.email not in letters()


def test_what_is_on_the_spare_table_waits_for_its_household_no_more(
    divided, member, other_household_member, clock
):
    clock.move_to(PICKUP_ENDS + 45 * MINUTE)
    assert release_unfetched_shares() == 2
    assert set(letters()).isdisjoint({member.user.email, other_household_member.user.email})
    assert not Matter.objects.filter(kind=UNFETCHED.code, dropped_at=None).exists()


def test_a_pickup_that_lasts_longer_waits_longer(tallied, coordinator, member):
    later = PICKUP_ENDS + HOUR
    move_pickup(tallied, coordinator, pickup_to=later)
    divide(tallied, coordinator)
    assert dues(member, UNFETCHED.code) == [later + 10 * MINUTE, later + 30 * MINUTE]


# ---- Who leads it -----------------------------------------------------------------------------
def test_who_leads_it_is_told_at_the_pickup_to_divide_and_at_its_end_to_charge(
    tallied, coordinator, clock
):
    step = Matter.objects.get(kind=TO_RUN.code, dropped_at=None)
    assert (step.at, step.path.split("/")[-2]) == (PICKUP_BEGINS, "divide")
    divide(tallied, coordinator)
    clock.move_to(PICKUP_ENDS)
    assert letters()[coordinator.user.email] == (
        "Sweet corn: the produce is not charged yet",
        "Charge the produce, so that everybody can square up.",
    )


def test_what_is_charged_is_told_no_more_until_it_is_reversed(divided, coordinator, treasurer):
    charge = charge_produce(divided, by=coordinator)[0]
    assert dues(coordinator, TO_RUN.code) == []
    reverse(charge.entry, why="The bill was wrong.", by=treasurer)
    assert dues(coordinator, TO_RUN.code) == [PICKUP_ENDS]
