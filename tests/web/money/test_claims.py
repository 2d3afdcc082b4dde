"""What is claimed from the spare table after the charge: the cost goes over with the produce."""

import pytest

from coop.buying.actions.charges import carry_unclaimed, charge_claim, charge_produce
from coop.buying.errors import NotAllowed, Refused, TooLate
from tests.web.money.books import (
    balance,
    charge_of,
    charged,
    claim,
    divided,
    households,
    release,
    spare_of,
    sum_of_balances,
)


@pytest.fixture
def ash_and_birch(coop):
    return households(coop, "Ash", "Birch")


def test_part_of_an_unfetched_share_costs_that_part_of_what_it_cost(
    coop, coordinator, ash_and_birch
):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    charge_claim(claim(release(buy, ash), birch, 100, by=coordinator), by=coordinator)
    assert (balance(ash), balance(birch)) == (-2000, -2000)
    assert balance(buy.account) == 0


def test_all_of_a_surplus_brings_the_buy_to_zero(coop, coordinator, ash_and_birch):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 100}, 4001, by=coordinator, surplus=70)
    spare = spare_of(buy)
    for household, amount in ((ash, 33), (birch, 30), (ash, 7)):
        charge_claim(claim(spare, household, amount, by=coordinator), by=coordinator)
    assert balance(buy.account) == 0
    assert balance(ash) + balance(birch) == -4001


def test_what_rounding_left_over_is_free_for_the_taker(coop, coordinator, ash_and_birch):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator, left_over=4)
    assert charge_claim(claim(spare_of(buy), birch, 4, by=coordinator), by=coordinator) is None
    assert balance(birch) == -1000


def test_a_claim_before_the_charge_is_charged_with_the_produce(coop, coordinator, ash_and_birch):
    ash, birch = ash_and_birch
    buy = divided(coop, {ash: 300, birch: 100}, 4000)
    claimed = claim(release(buy, ash), birch, 300, by=coordinator)
    assert charge_claim(claimed, by=coordinator) is None
    charge_produce(buy, by=coordinator)
    assert (balance(ash), balance(birch)) == (0, -4000)


def test_a_claim_is_charged_once(coop, coordinator, ash_and_birch):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    claimed = claim(release(buy, ash), birch, 100, by=coordinator)
    charge_claim(claimed, by=coordinator)
    with pytest.raises(TooLate):
        charge_claim(claimed, by=coordinator)
    assert charge_of(buy, "claim").cents == 1000


def test_whoever_takes_back_its_own_share_owes_no_more(coop, coordinator, ash_and_birch):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=coordinator)
    assert charge_claim(claim(release(buy, ash), ash, 50, by=coordinator), by=coordinator) is None
    assert balance(ash) == -3000


def test_the_till_carries_what_nobody_claims_and_gets_it_back_from_a_late_taker(
    coop, treasurer, ash_and_birch
):
    ash, birch = ash_and_birch
    buy = charged(coop, {ash: 300, birch: 0}, 4000, by=treasurer, surplus=100)
    carry_unclaimed(buy, by=treasurer)
    assert (balance(buy.account), balance(coop)) == (0, -1000)
    charge_claim(claim(spare_of(buy), birch, 60, by=treasurer), by=treasurer)
    assert (balance(birch), balance(coop)) == (-600, -400)
    assert sum_of_balances(coop) == 0


def test_only_the_treasurer_lets_the_till_carry(coop, coordinator, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator, surplus=100)
    with pytest.raises(NotAllowed):
        carry_unclaimed(buy, by=coordinator)
    assert carry_unclaimed(buy, by=treasurer)


def test_there_must_be_something_to_carry(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    with pytest.raises(Refused, match="nothing to carry"):
        carry_unclaimed(buy, by=treasurer)
