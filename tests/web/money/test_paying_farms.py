"""A farm is paid by the till or by a household that fronts it, and may give money back."""

import pytest

from coop.buying.actions.credits import Credit, credit
from coop.buying.actions.farm_payments import pay_farm, take_refund
from coop.buying.errors import NotAllowed, Refused, WrongStage
from tests.web.buy_factories import make_buy, make_called_in_buy, the_line, the_supply
from tests.web.factories import make_farm
from tests.web.money.books import (
    account,
    balance,
    charged,
    divided,
    farm_account,
    households,
    sum_of_balances,
)


def farm_of(buy):
    return the_supply(buy).farm


def test_the_till_pays(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    pay_farm(buy, farm_of(buy), 4000, payer=account(coop), by=coordinator)
    assert (balance(farm_account(buy)), balance(coop)) == (0, 4000)
    assert sum_of_balances(coop) == 0


def test_a_household_that_fronts_is_owed_it(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    payment = pay_farm(buy, farm_of(buy), 4000, payer=account(ash), by=coordinator)
    assert payment.household == ash
    assert (balance(ash), balance(birch)) == (1000, -1000)


def test_a_farm_is_never_paid_more_than_its_bill(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 4000)
    pay_farm(buy, farm_of(buy), 2500, payer=account(coop), by=coordinator)
    with pytest.raises(Refused, match=r"\$15\.00 of .* is open") as refusal:
        pay_farm(buy, farm_of(buy), 1501, payer=account(coop), by=coordinator)
    assert refusal.value.field == "cents"


def test_before_the_tally_a_farm_may_have_a_deposit(coop, coordinator):
    buy = make_called_in_buy(coop)
    pay_farm(buy, farm_of(buy), 5000, payer=account(coop), by=coordinator)
    assert balance(farm_account(buy)) == -5000


def test_nobody_fronts_more_than_they_said(coop, coordinator, household):
    buy = divided(
        coop,
        {household: 300},
        4000,
        cover="fronted",
        fronted_by=household,
        front_limit_cents=3000,
    )
    pay_farm(buy, farm_of(buy), 2000, payer=account(household), by=coordinator)
    with pytest.raises(Refused, match=r"fronts up to \$30\.00"):
        pay_farm(buy, farm_of(buy), 1001, payer=account(household), by=coordinator)


@pytest.mark.parametrize("cents", (0, -5))
def test_a_payment_is_above_zero(coop, coordinator, household, cents):
    buy = divided(coop, {household: 300}, 4000)
    with pytest.raises(Refused, match="above zero"):
        pay_farm(buy, farm_of(buy), cents, payer=account(coop), by=coordinator)


def test_only_a_farm_of_the_buy_is_paid_for_it(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 4000)
    with pytest.raises(Refused, match="supplies nothing"):
        pay_farm(buy, make_farm(coop), 100, payer=account(coop), by=coordinator)


def test_a_farm_is_not_paid_from_a_buys_account(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 4000)
    with pytest.raises(Refused, match="till or a household"):
        pay_farm(buy, farm_of(buy), 100, payer=buy.account, by=coordinator)


def test_a_refund_is_never_more_than_the_farm_owes(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    pay_farm(buy, farm_of(buy), 4000, payer=account(coop), by=coordinator)
    credit(buy, Credit(the_line(buy), farm_of(buy), 700, "A bad box"), by=coordinator)
    with pytest.raises(Refused, match=r"owes the co-op \$7\.00"):
        take_refund(buy, farm_of(buy), 701, payee=account(coop), by=coordinator)
    take_refund(buy, farm_of(buy), 700, payee=account(coop), by=coordinator)
    assert balance(farm_account(buy)) == 0


def test_a_plain_member_pays_no_farm_and_nobody_pays_before_the_call_in(coop, coordinator, member):
    asking = make_buy(coop)
    with pytest.raises(WrongStage):
        pay_farm(asking, farm_of(asking), 100, payer=account(coop), by=coordinator)
    buy = divided(coop, {member.household: 300}, 4000)
    with pytest.raises(NotAllowed):
        pay_farm(buy, farm_of(buy), 100, payer=account(coop), by=member)
