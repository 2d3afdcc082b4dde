"""Those who asked are told what becomes of a buy; who leads it, what is due from them."""

from dataclasses import replace
from datetime import timedelta

import pytest

from coop.buying.actions.asks import give_up_ask
from coop.buying.actions.buys import change_buy, plan_of, rules_of
from coop.buying.actions.call_in import call_off, step_back
from coop.buying.actions.closing import close_asks
from coop.buying.actions.releases import release_ask, take_release
from coop.buying.models import Ask, Buy
from coop.buying.notices.kinds import CLOSES, LAST_CHANGE, NEWS, PICKUP, TO_RUN
from coop.notices.models import Matter
from coop.people.actions.members import leave
from tests.web.buy_factories import the_line
from tests.web.buys_told import (
    BARN,
    CLOSE,
    ask,
    dues,
    hours_before,
    letters,
    order,
    posted,
    tally,
)
from tests.web.buys_told import (
    PICKUP as PICKUP_BEGINS,
)
from tests.web.factories import NOW, make_member

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def buy(coordinator, member, other_household_member):
    """One household has asked for it, one has not."""
    buy = posted(coordinator)
    ask(buy, member)
    return buy


def at_the_close(clock):
    """The asks have closed; what was told before has been told."""
    clock.move_to(CLOSE - HOUR)
    letters()
    clock.move_to(CLOSE)


def move_pickup(buy, by, **plan):
    buy = Buy.objects.get(pk=buy.pk)
    change_buy(buy.pk, replace(plan_of(buy), **plan), rules_of(buy), by=by)


# ---- Called in, stepped back, called off ------------------------------------------------------
def test_who_asked_is_told_that_the_buy_is_called_in(buy, coordinator, member, clock):
    at_the_close(clock)
    order(buy, coordinator)
    assert letters()[member.user.email] == (
        "Sweet corn: called in",
        f"Come to the pickup Sat 15 Aug, 8:00 to 10:00: {BARN}.",
    )
    news = Matter.objects.get(kind=NEWS.code)
    assert news.household == member.household
    assert news.details[:2] == [
        "You asked for 35 lb sweet corn.",
        "Called in: 2 bushels sweet corn.",
    ]


def test_once_it_is_called_in_nobody_is_told_to_ask(buy, coordinator, other_household_member):
    order(buy, coordinator)
    assert dues(other_household_member, CLOSES.code) == []


def test_a_call_in_that_is_taken_back_is_told_no_more(buy, coordinator, member):
    order(buy, coordinator)
    step_back(buy.pk, "The farm has none.", by=coordinator)
    assert dues(member, NEWS.code) + dues(member, PICKUP.code) == []


def test_back_from_the_tally_nobody_is_told_a_second_time_to_come(buy, coordinator, member, clock):
    at_the_close(clock)
    order(buy, coordinator)
    letters()
    clock.move_to(PICKUP_BEGINS)
    letters()
    tally(buy, coordinator)
    step_back(buy.pk, "A box was left on the truck.", by=coordinator)
    assert member.user.email not in letters()


def test_who_took_over_an_ask_after_the_call_in_is_told_of_the_pickup_alone(
    buy, coordinator, member, other_household_member
):
    order(buy, coordinator)
    given = release_ask(buy.pk, Ask.objects.get().pk, 350, by=member)
    taker = other_household_member
    take_release(buy.pk, given.pk, household=taker.household, by=taker, accept_rules=True)
    assert (dues(member, NEWS.code), dues(member, PICKUP.code)) == ([], [])
    assert dues(taker, PICKUP.code) == hours_before(PICKUP_BEGINS, 24, 2)


def test_a_buy_called_off_is_told_with_the_reason_and_its_pickup_goes(
    buy, coordinator, member, clock
):
    at_the_close(clock)
    order(buy, coordinator)
    letters()
    clock.shift(HOUR)
    call_off(buy.pk, "Hail took the corn.", by=coordinator)
    assert letters() == {
        member.user.email: ("Sweet corn: called off", "Do not come for it: this buy is called off.")
    }
    assert "Why: Hail took the corn." in Matter.objects.get(title__endswith="off").details
    assert dues(member, PICKUP.code) == []


def test_a_buy_that_asks_again_is_no_longer_told_to_be_off(buy, coordinator, member):
    call_off(buy.pk, "Hail took the corn.", by=coordinator)
    step_back(buy.pk, "It was the neighbour's.", by=coordinator)
    assert not Matter.objects.filter(title__endswith="off", dropped_at=None).exists()


# ---- The pickup is moved ----------------------------------------------------------------------
def test_who_asked_is_told_at_once_that_the_pickup_is_moved(buy, coordinator, member, clock):
    clock.shift(HOUR)
    move_pickup(buy, coordinator, pickup_to=PICKUP_BEGINS + 4 * HOUR)
    assert letters() == {
        member.user.email: (
            "Sweet corn: the pickup is now Sat 15 Aug, 8:00 to 12:00",
            f"See whether you can come Sat 15 Aug, 8:00 to 12:00: {BARN}.",
        )
    }


def test_each_move_is_told_and_who_asked_since_the_last_knows(
    buy, coordinator, member, other_household_member, clock
):
    for place in ("The school", "The church"):
        clock.shift(HOUR)
        move_pickup(buy, coordinator, pickup_place=place)
        assert place in letters()[member.user.email][1]
    clock.shift(HOUR)
    ask(buy, other_household_member)
    assert dues(other_household_member, NEWS.code) == []


def test_who_gives_up_its_ask_is_not_told_of_a_moved_pickup(buy, coordinator, member, clock):
    clock.shift(HOUR)
    move_pickup(buy, coordinator, pickup_place="The school")
    give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)
    assert letters() == {}


def test_another_title_is_news_to_nobody(buy, coordinator, member, clock):
    clock.shift(HOUR)
    move_pickup(buy, coordinator, title="Corn for freezing")
    assert letters() == {}
    close = Matter.objects.get(kind=LAST_CHANGE.code, household=member.household)
    assert close.title == "Corn for freezing: asks close Fri 14 Aug at 14:00"


# ---- Who leads it -----------------------------------------------------------------------------
def test_who_leads_a_buy_is_told_when_its_asks_have_closed(buy, coordinator, clock):
    at_the_close(clock)
    assert letters() == {
        coordinator.user.email: (
            "Sweet corn: asks closed Fri 14 Aug at 14:00",
            "Choose the containers, and call the order in.",
        )
    }


def test_asks_closed_early_are_to_be_called_in_early(buy, coordinator):
    assert dues(coordinator, TO_RUN.code) == [CLOSE]
    close_asks(buy.pk, by=coordinator)
    assert dues(coordinator, TO_RUN.code) == [NOW]


def test_called_in_it_is_to_be_tallied_when_the_pickup_begins(buy, coordinator):
    order(buy, coordinator)
    assert dues(coordinator, TO_RUN.code) == [PICKUP_BEGINS]
    assert Matter.objects.get(kind=TO_RUN.code, dropped_at=None).path.endswith("/tally/")


def test_of_a_buy_that_nobody_asks_of_its_leader_is_told_so(buy, coordinator, member, clock):
    give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)
    at_the_close(clock)
    said = "Nobody asked: open the asks again, or call the buy off."
    assert letters()[coordinator.user.email][1] == said


def test_when_its_leader_leaves_the_coordinators_are_told(coordinator, other_household):
    heir = make_member(other_household, roles=["coordinator"])
    posted(coordinator, fronted_by=other_household)
    leave(coordinator.pk, by=heir)
    assert dues(heir, TO_RUN.code) == [CLOSE]
    assert dues(coordinator, TO_RUN.code) == []


def test_a_buy_called_off_wants_nothing_of_its_leader(buy, coordinator):
    call_off(buy.pk, "Hail took the corn.", by=coordinator)
    assert dues(coordinator, TO_RUN.code) == []
