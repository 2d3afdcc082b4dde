"""A farm's credit follows the shares that it belongs to."""

import pytest

from coop.buying.actions.charges import carry_unclaimed, charge_claim
from coop.buying.actions.credits import Credit, credit
from coop.buying.errors import NotAllowed, Refused, WrongStage
from coop.buying.models import Buy
from tests.web.buy_factories import the_line, the_supply
from tests.web.factories import make_farm
from tests.web.money.books import (
    balance,
    charged,
    claim,
    divided,
    farm_account,
    households,
    release,
    sum_of_balances,
)


def given(buy, cents, **fields):
    defaults = {"line": the_line(buy), "farm": the_supply(buy).farm, "why": "One box was rotten"}
    return Credit(cents=cents, **defaults | fields)


def test_each_gets_back_in_proportion_to_what_it_paid(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    credit(buy, given(buy, 800), by=coordinator)
    assert (balance(ash), balance(birch)) == (-2400, -800)
    assert balance(farm_account(buy)) == 3200
    assert balance(buy.account) == 0


def test_it_follows_a_claim_from_the_spare_table(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    charge_claim(claim(release(buy, ash), birch, 300, by=coordinator), by=coordinator)
    credit(buy, given(buy, 800), by=coordinator)
    assert (balance(ash), balance(birch)) == (0, -3200)


def test_a_full_credit_gives_everybody_back_exactly_what_they_paid(coop, coordinator):
    three = households(coop, "Ash", "Birch", "Cedar")
    buy = charged(coop, dict.fromkeys(three, 70), 1000, by=coordinator, surplus=13)
    credit(buy, given(buy, 1000), by=coordinator)
    assert [balance(each) for each in three] == [0, 0, 0]
    assert balance(buy.account) == 0


def test_the_till_gets_its_part_of_what_it_carries(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer, surplus=100)
    carry_unclaimed(buy, by=treasurer)
    credit(buy, given(buy, 400), by=treasurer)
    assert (balance(household), balance(coop)) == (-2700, -900)
    assert sum_of_balances(coop) == 0


def test_it_may_come_after_the_buy_is_squared_up(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.SQUARED)
    credit(buy, given(buy, 500), by=coordinator)
    assert balance(household) == -3500


def test_a_farm_cannot_give_back_more_than_it_charged(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    with pytest.raises(Refused, match="cannot give back more") as refusal:
        credit(buy, given(buy, 4001), by=coordinator)
    assert refusal.value.field == "cents"


@pytest.mark.parametrize(("fields", "field"), (({"cents": 0}, "cents"), ({"why": "  "}, "why")))
def test_a_credit_says_how_much_and_why(coop, coordinator, household, fields, field):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    with pytest.raises(Refused) as refusal:
        credit(buy, given(buy, **{"cents": 100} | fields), by=coordinator)
    assert refusal.value.field == field


def test_a_farm_that_charged_nothing_gives_nothing_back(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    with pytest.raises(Refused, match="charged nothing"):
        credit(buy, given(buy, 100, farm=make_farm(coop)), by=coordinator)


def test_before_the_charge_the_tally_is_the_place(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 4000)
    with pytest.raises(Refused, match="not charged yet"):
        credit(buy, given(buy, 100), by=coordinator)


def test_a_plain_member_books_no_credit_and_none_comes_too_early(coop, coordinator, member):
    buy = charged(coop, {member.household: 300}, 4000, by=coordinator)
    with pytest.raises(NotAllowed):
        credit(buy, given(buy, 100), by=member)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.COLLECTED)
    with pytest.raises(WrongStage):
        credit(buy, given(buy, 100), by=coordinator)
