"""While a buy takes asks, each household is told what it has left to do, and no more."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.actions.asks import give_up_ask
from coop.buying.actions.buys import BuyRules, post_buy
from coop.buying.actions.closing import reopen_asks
from coop.buying.actions.lines import add_line, remove_line
from coop.buying.notices.asking import GRACE
from coop.buying.notices.kinds import CLOSES, LAST_CHANGE, OPENS
from coop.notices.models import Matter
from coop.people.actions.households import end_household
from coop.people.actions.invitations import join
from tests.web.buy_factories import the_line
from tests.web.buys_told import (
    CLOSE,
    PLAN,
    SIX_TODAY,
    ask,
    dues,
    hours_before,
    letters,
    posted,
)
from tests.web.factories import (
    NOW,
    make_farm,
    make_household,
    make_invitation,
    make_member,
    make_offer,
    make_user,
)

pytestmark = pytest.mark.django_db
CLOSES_SOON = "Sweet corn: asks close Fri 14 Aug at 14:00"


@pytest.fixture
def buy(coordinator, member, other_household_member):
    return posted(coordinator)


def whom(*members):
    return {each.user.email for each in members}


# ---- That it takes asks -----------------------------------------------------------------------
def test_every_household_reads_in_its_daily_mail_that_a_buy_takes_asks(
    buy, coordinator, member, other_household_member, clock
):
    assert letters() == {}
    clock.move_to(SIX_TODAY)
    told = letters()
    assert set(told) == whom(member, other_household_member)  # who posted it knows
    assert told[member.user.email] == (
        "Sweet corn: asks are open until Fri 14 Aug at 14:00",
        "Say how much you want by Fri 14 Aug at 14:00.",
    )


def test_nobody_is_told_of_a_buy_before_there_is_anything_to_ask_for(coordinator, member, clock):
    buy = post_buy(PLAN, BuyRules(), by=coordinator)
    clock.shift(timedelta(hours=25))
    assert dues(member, OPENS.code) == []
    add_line(buy.pk, [make_offer(make_farm(buy.coop)).pk], by=coordinator)
    assert dues(member, OPENS.code) == [NOW + timedelta(hours=25) + GRACE]


def test_lines_put_in_within_a_quarter_of_an_hour_are_all_told_at_once(
    buy, coordinator, member, clock
):
    clock.shift(GRACE - timedelta(minutes=1))
    beans = make_offer(make_farm(buy.coop), "Green beans")
    add_line(buy.pk, [beans.pk], by=coordinator)
    assert dues(member, OPENS.code) == [NOW + GRACE]
    opens = Matter.objects.get(kind=OPENS.code, household=member.household)
    assert opens.details[0] == "It is for: Sweet corn and green beans."


def test_a_buy_whose_only_line_is_taken_out_is_told_no_more(buy, coordinator, member):
    remove_line(buy.pk, the_line(buy).pk, by=coordinator)
    assert dues(member, OPENS.code) + dues(member, CLOSES.code) == []


def test_who_asks_before_its_daily_mail_needs_no_word_of_it(buy, coordinator, member, clock):
    ask(buy, member)
    clock.move_to(SIX_TODAY)
    assert member.user.email not in letters()


# ---- That asks close --------------------------------------------------------------------------
def test_who_has_not_answered_is_told_2_days_and_6_hours_before_the_close(
    buy, coordinator, member, other_household_member, clock
):
    ask(buy, member)
    clock.move_to(SIX_TODAY)
    letters()
    said = (CLOSES_SOON, "Say how much you want, if you want any.")
    clock.move_to(*hours_before(CLOSE, 48))
    others = whom(coordinator, other_household_member)
    assert letters() == dict.fromkeys(others, said)
    assert dues(other_household_member, CLOSES.code) == hours_before(CLOSE, 48, 6)
    assert dues(member, CLOSES.code) == []


def test_who_asks_is_told_on_the_day_before_that_it_can_still_change_its_ask(buy, member, clock):
    ask(buy, member, 350)
    ask(buy, member, 525)
    clock.move_to(*hours_before(CLOSE, 24))
    subject, first = letters()[member.user.email]
    assert subject == CLOSES_SOON
    assert first == "Change what you asked for by Fri 14 Aug at 14:00, or leave it as it is."
    assert Matter.objects.get(kind=LAST_CHANGE.code).details[0] == (
        "You asked for 52.5 lb sweet corn."
    )


def test_answered_or_not_the_close_is_one_entry_in_a_households_calendar(buy, member):
    closes = Matter.objects.filter(household=member.household, kind=CLOSES.code).get()
    ask(buy, member)
    closes.refresh_from_db()
    assert (closes.kind, closes.dropped_at, closes.sequence) == (LAST_CHANGE.code, None, 1)


def test_who_gives_up_its_ask_has_answered_and_is_left_in_peace(buy, member):
    ask(buy, member)
    give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)
    assert dues(member, CLOSES.code) + dues(member, LAST_CHANGE.code) == []


def test_a_close_that_moves_takes_what_is_told_of_it_along(
    buy, coordinator, member, other_household_member
):
    ask(buy, member)
    later = CLOSE + timedelta(hours=10)
    reopen_asks(buy.pk, later, by=coordinator)
    assert dues(other_household_member, CLOSES.code) == hours_before(later, 48, 6)
    assert dues(member, LAST_CHANGE.code) == hours_before(later, 24)


def test_a_buy_posted_shortly_before_its_close_is_told_at_once_and_once(coordinator, member, clock):
    clock.move_to(*hours_before(CLOSE, 5))
    posted(coordinator)
    assert letters()[member.user.email][0] == CLOSES_SOON
    assert dues(member, CLOSES.code) == hours_before(CLOSE, 5)
    assert dues(member, OPENS.code) == []


# ---- Who joins and who leaves -----------------------------------------------------------------
def test_a_household_that_joins_is_told_of_the_buys_that_take_asks(buy, coordinator, clock):
    clock.shift(timedelta(hours=25))
    invitation = make_invitation(coordinator, "kit@example.test")
    newcomer = join(invitation, by=make_user("Kit Moss", email="kit@example.test"))
    assert dues(newcomer, OPENS.code) == [NOW + timedelta(hours=25)]
    assert dues(newcomer, CLOSES.code) == hours_before(CLOSE, 48, 6)


def test_a_household_that_leaves_is_told_no_more(buy, coordinator, member):
    end_household(member.household_id, by=coordinator)
    assert not Matter.objects.filter(household=member.household, dropped_at=None).exists()


def test_a_household_that_comes_back_is_told_again(buy, coordinator, member):
    end_household(member.household_id, by=coordinator)
    invitation = make_invitation(coordinator, member.user.email, household=member.household)
    again = join(invitation, by=member.user)
    assert dues(again, CLOSES.code) == hours_before(CLOSE, 48, 6)


@pytest.mark.postgres
def test_who_joins_locks_buys_and_things_before_the_co_op_as_other_acts_do(buy, coordinator):
    invitation = make_invitation(coordinator, "kit@example.test")
    newcomer = make_user("Kit Moss", email="kit@example.test")
    with CaptureQueriesContext(connection) as queries:
        join(invitation, by=newcomer)
    locks = [query["sql"] for query in queries if " FOR " in query["sql"]]
    tables = [re.search(r'FROM "(\w+)"', sql).group(1) for sql in locks]
    first = tables.index("people_coop")
    assert set(tables[:first]) == {"buying_buy", "equipment_thing"}


# ---- How much it takes ------------------------------------------------------------------------
def test_an_ask_takes_as_many_queries_in_a_large_co_op_as_in_a_small_one(buy, member):
    ask(buy, member, 350)
    with CaptureQueriesContext(connection) as few:
        ask(buy, member, 700)
    for _ in range(10):
        ask(buy, make_member(make_household(buy.coop)))
    with CaptureQueriesContext(connection) as many:
        ask(buy, member, 1050)
    assert Matter.objects.filter(kind=LAST_CHANGE.code).count() == 11
    assert len(many) == len(few)
