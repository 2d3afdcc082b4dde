"""Money into the till: ahead, at the pickup, and across the table; and out of it."""

from uuid import uuid4

import pytest

from coop.buying.actions.pay_in import prepay, take_cash
from coop.buying.errors import NotAllowed, Refused, WrongStage
from coop.money.actions.till import pay_in, pay_out
from coop.money.errors import AlreadyEntered
from coop.money.queries.till import till_cash_cents
from tests.web.buy_factories import make_buy
from tests.web.money.books import balance, charged, divided


def test_what_is_paid_ahead_stays_the_households_own(coop, coordinator, household):
    prepay(make_buy(coop), household, 2500, by=coordinator)
    assert (balance(household), balance(coop), till_cash_cents(coop)) == (2500, -2500, 2500)


def test_cash_at_the_pickup_says_who_took_it(coop, coordinator, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    payment = take_cash(buy, household, 4000, by=coordinator, taken_by=treasurer)
    assert balance(household) == 0
    assert payment.taken_by == treasurer
    assert treasurer.name in payment.entry.movements.get().note


def test_whoever_writes_it_down_took_it_unless_they_say_otherwise(coop, coordinator, household):
    payment = take_cash(divided(coop, {household: 1}, 0), household, 5, by=coordinator)
    assert payment.taken_by == coordinator


def test_the_same_tap_twice_counts_once(coop, coordinator, household):
    buy, number = divided(coop, {household: 300}, 0), uuid4()
    take_cash(buy, household, 500, by=coordinator, once=number)
    with pytest.raises(AlreadyEntered, match="counts once"):
        take_cash(buy, household, 500, by=coordinator, once=number)
    assert balance(household) == 500


def test_somebody_of_another_co_op_took_nothing(coop, coordinator, outsider, household):
    buy = divided(coop, {household: 300}, 0)
    with pytest.raises(Refused, match="belongs to this co-op"):
        take_cash(buy, household, 500, by=coordinator, taken_by=outsider)


def test_each_way_has_its_stage(coop, coordinator, household):
    with pytest.raises(WrongStage):
        take_cash(make_buy(coop), household, 500, by=coordinator)
    with pytest.raises(WrongStage):
        prepay(divided(coop, {household: 300}, 0), household, 500, by=coordinator)


def test_the_treasurer_takes_money_in_and_pays_it_out(coop, treasurer, household):
    pay_in(household, 3000, by=treasurer)
    pay_out(household, 1000, by=treasurer)
    assert (balance(household), till_cash_cents(coop)) == (2000, 2000)


def test_the_till_pays_no_more_than_it_holds(coop, treasurer, household):
    pay_in(household, 3000, by=treasurer)
    with pytest.raises(Refused, match=r"holds \$30\.00") as refusal:
        pay_out(household, 3001, by=treasurer)
    assert refusal.value.field == "cents"


@pytest.mark.parametrize("act", (pay_in, pay_out))
def test_nothing_is_not_paid(treasurer, household, act):
    with pytest.raises(Refused, match="above zero"):
        act(household, 0, by=treasurer)


@pytest.mark.parametrize("act", (pay_in, pay_out))
def test_only_the_treasurer_opens_the_till(coordinator, member, household, act):
    for by in (coordinator, member):
        with pytest.raises(NotAllowed):
            act(household, 100, by=by)


def test_a_plain_member_takes_no_cash(coop, member, household):
    with pytest.raises(NotAllowed):
        take_cash(divided(coop, {household: 300}, 0), household, 500, by=member)
