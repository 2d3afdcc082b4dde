"""The farm's bill, shared by what each household got."""

import pytest

from coop.buying.actions.charges import charge_produce
from coop.buying.errors import NotAllowed, Refused, TooLate, WrongStage
from coop.buying.models import Division, Share
from coop.buying.queries.produce_costs import digest_of_lots, lots_to_charge
from coop.money.models import Entry
from tests.web.buy_factories import make_collected_buy, the_line
from tests.web.money.books import (
    balance,
    bill,
    charge_of,
    charged,
    divided,
    farm_account,
    households,
    sum_of_balances,
)


def test_each_household_owes_its_part_and_the_farm_is_owed_its_bill(coop, coordinator):
    ash, birch, cedar = households(coop, "Ash", "Birch", "Cedar")
    # By hand: 100.00 over 10, 20 and 30 lb is 16.666..., 33.333... and 50.00; the odd cent goes to
    # the largest remainder. Largest remainder (Hamilton): see tests/core/test_apportion.py.
    buy = charged(coop, {ash: 100, birch: 200, cedar: 300}, 10_000, by=coordinator)
    assert [balance(each) for each in (ash, birch, cedar)] == [-1667, -3333, -5000]
    assert balance(farm_account(buy)) == 10_000
    assert balance(buy.account) == 0
    assert sum_of_balances(coop) == 0


def test_a_charge_says_what_it_is_for_and_leads_to_its_buy(coop, coordinator, household):
    buy = charged(coop, {household: 415}, 2400, by=coordinator)
    charge = charge_of(buy)
    assert charge.cents == 2400
    assert charge.entry.reference == f"buys/{buy.pk}/costs/"
    notes = {movement.note for movement in charge.entry.movements.all()}
    assert "Sweet corn, 41.5 lb" in notes


def test_a_surplus_nobody_asked_for_stays_on_the_buy(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator, surplus=100)
    assert balance(household) == -3000
    assert balance(buy.account) == -1000


def test_what_rounding_left_over_belongs_to_the_lot(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator, left_over=3, surplus=0)
    assert balance(household) == -4000
    assert balance(buy.account) == 0


def test_whoever_asked_and_got_nothing_pays_nothing(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    charged(coop, {ash: 0, birch: 200}, 999, by=coordinator)
    assert (balance(ash), balance(birch)) == (0, -999)


def test_where_nothing_was_fit_to_share_the_loss_goes_by_what_was_asked(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 100, birch: 300}, 400)
    tally = the_line(buy).supplies.get().tally
    tally.culls = 400
    tally.save(update_fields=["culls"])
    Share.objects.filter(division__line__buy=buy).update(amount=0)
    charge_produce(buy, by=coordinator)
    assert (balance(ash), balance(birch), balance(buy.account)) == (-100, -300, 0)


def test_a_bill_with_nobody_to_bear_it_is_refused(coop, coordinator, household):
    buy = divided(coop, {household: 0}, 400)
    Share.objects.filter(division__line__buy=buy).update(amount=0, wanted=0)
    with pytest.raises(Refused, match="nobody to charge"):
        charge_produce(buy, by=coordinator)


def test_a_gift_is_charged_to_nobody(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 0)
    with pytest.raises(TooLate):
        charge_produce(buy, by=coordinator)
    assert not Entry.objects.exists()


def test_produce_is_charged_once(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    with pytest.raises(TooLate, match="charged already"):
        charge_produce(buy, by=coordinator)
    assert balance(household) == -4000


def test_figures_that_changed_since_they_were_seen_are_not_charged(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 4000)
    seen = digest_of_lots(lots_to_charge(buy))
    bill(buy, 4100)
    with pytest.raises(TooLate, match="changed since you looked"):
        charge_produce(buy, by=coordinator, seen=seen)
    charge_produce(buy, by=coordinator, seen=digest_of_lots(lots_to_charge(buy)))
    assert balance(household) == -4100


def test_produce_is_charged_only_once_everything_is_divided(coop, coordinator):
    buy = make_collected_buy(coop)
    with pytest.raises(WrongStage, match="collected"):
        charge_produce(buy, by=coordinator)


def test_a_plain_member_cannot_charge(coop, coordinator, member, household):
    buy = divided(coop, {household: 300}, 4000)
    with pytest.raises(NotAllowed):
        charge_produce(buy, by=member)
    assert charge_produce(buy, by=coordinator)


def test_the_odd_cent_goes_round_from_buy_to_buy(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    for _ in range(2):
        charged(coop, {ash: 100, birch: 100}, 101, by=coordinator)
    assert balance(ash) == balance(birch) == -101


def test_a_withdrawn_division_is_not_charged(coop, coordinator, household, clock):
    buy = divided(coop, {household: 300}, 4000)
    Division.objects.filter(line__buy=buy).update(withdrawn_at=buy.pickup_to)
    with pytest.raises(TooLate):
        charge_produce(buy, by=coordinator)
