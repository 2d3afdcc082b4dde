"""The fees that a buy stated go to its other households."""

import pytest

from coop.buying.actions.fees import charge_late_change, charge_no_show
from coop.buying.errors import NotAllowed, Refused, WrongStage
from coop.buying.models import Share
from tests.web.buy_factories import make_buy, make_called_in_buy
from tests.web.money.books import balance, divided, households, sum_of_balances

FEES = {"late_change_cents": 501, "no_show_cents": 1000}


def test_a_late_change_is_paid_to_the_others_equally(coop, coordinator):
    ash, birch, cedar = households(coop, "Ash", "Birch", "Cedar")
    buy = make_called_in_buy(coop, asks={ash: 100, birch: 100, cedar: 300}, **FEES)
    charge_late_change(buy, ash, by=coordinator)
    assert balance(ash) == -501
    assert {balance(birch), balance(cedar)} == {250, 251}
    assert balance(buy.account) == sum_of_balances(coop) == 0


def test_a_no_show_is_charged_once_and_only_to_who_did_not_come(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 300, birch: 100}, 0, **FEES)
    Share.objects.filter(household=birch).update(fetched_at=buy.pickup_from)
    charge_no_show(buy, ash, by=coordinator)
    assert (balance(ash), balance(birch)) == (-1000, 1000)
    with pytest.raises(Refused, match="already"):
        charge_no_show(buy, ash, by=coordinator)
    with pytest.raises(Refused, match="has fetched"):
        charge_no_show(buy, birch, by=coordinator)


def test_who_has_no_part_in_the_buy_pays_no_fee(coop, coordinator, other_household):
    buy = make_called_in_buy(coop, **FEES)
    with pytest.raises(Refused, match="no part"):
        charge_late_change(buy, other_household, by=coordinator)


def test_a_fee_needs_somebody_to_get_it(coop, coordinator, household):
    buy = make_called_in_buy(coop, asks={household: 300}, **FEES)
    with pytest.raises(Refused, match="nobody would get"):
        charge_late_change(buy, household, by=coordinator)


def test_a_buy_that_states_no_fee_charges_none(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = make_called_in_buy(coop, asks={ash: 100, birch: 100})
    with pytest.raises(Refused, match="states no late-change fee"):
        charge_late_change(buy, ash, by=coordinator)


def test_fees_wait_for_the_close_and_are_not_a_plain_members_to_charge(coop, coordinator, member):
    with pytest.raises(WrongStage):
        charge_late_change(make_buy(coop, **FEES), member.household, by=coordinator)
    with pytest.raises(NotAllowed):
        charge_late_change(make_called_in_buy(coop, **FEES), member.household, by=member)
