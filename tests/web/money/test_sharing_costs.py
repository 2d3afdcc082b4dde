"""Fuel, kitchen and the like, shared on a basis to the cent."""

from uuid import uuid4

import pytest

from coop.buying.actions.costs import Cost, add_charge, basis_of, digest_of_cost, preview_cost
from coop.buying.errors import NotAllowed, Refused, TooLate, WrongStage
from coop.buying.models import Buy, Charge, Measure
from coop.money.errors import AlreadyEntered
from tests.web.buy_factories import (
    make_collected_buy,
    make_division,
    make_line,
    make_supply,
    make_tally,
    the_line,
    the_supply,
)
from tests.web.factories import make_farm, make_offer
from tests.web.money.books import account, balance, charged, divided, farm_account, households


def cost(payer, cents=1000, basis=Buy.Basis.EQUALLY, **fields):
    defaults = {"what": Charge.What.FUEL, "title": "Fuel"}
    return Cost(cents=cents, basis=basis, payer=account(payer), **defaults | fields)


def test_equally_means_everybody_who_got_something(coop, coordinator):
    ash, birch, cedar = households(coop, "Ash", "Birch", "Cedar")
    buy = divided(coop, {ash: 300, birch: 100, cedar: 0}, 0)
    add_charge(buy, cost(coop), by=coordinator)
    assert [balance(each) for each in (ash, birch, cedar)] == [-500, -500, 0]
    assert (balance(coop), balance(buy.account)) == (1000, 0)


def test_by_what_each_got_goes_by_pounds(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 300, birch: 100}, 0)
    add_charge(buy, cost(coop, basis=Buy.Basis.BY_SHARE), by=coordinator)
    assert (balance(ash), balance(birch)) == (-750, -250)


def test_the_household_that_drove_is_owed_what_it_paid_less_its_own_part(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 300, birch: 100}, 0)
    add_charge(buy, cost(ash), by=coordinator)
    assert (balance(ash), balance(birch)) == (500, -500)


def two_farms(coop, ash, birch):
    """Ash draws only on the near farm (20 miles), Birch on the far one too (50 miles)."""
    buy = divided(coop, {ash: 100, birch: 100}, 0)
    farm = the_supply(buy).farm
    farm.round_trip_miles = 20
    farm.save()
    far = make_offer(make_farm(coop, round_trip_miles=50), "Beets")
    line = make_line(buy, far)
    make_tally(make_supply(line, far, called_in=1))
    make_division(line, {birch: 100})
    return buy


def test_by_the_trip_each_stretch_is_shared_by_those_who_needed_it(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = two_farms(coop, ash, birch)
    # Airport rule (Littlechild and Owen 1973), by hand: the first 20 miles halved, 10 each; the
    # other 30 all Birch's. 10 and 40 of 50 miles: 2.00 and 8.00 of 10.00.
    add_charge(buy, cost(coop, basis=Buy.Basis.BY_TRIP), by=coordinator)
    assert (balance(ash), balance(birch)) == (-200, -800)


def test_without_miles_a_trip_cannot_be_shared(coop, coordinator, household):
    buy = divided(coop, {household: 100}, 0)
    farm = the_supply(buy).farm
    farm.round_trip_miles = 0
    farm.save()
    with pytest.raises(Refused, match="miles") as refusal:
        add_charge(buy, cost(coop, basis=Buy.Basis.BY_TRIP), by=coordinator)
    assert refusal.value.field == "basis"


def test_pounds_and_pieces_are_shared_by_what_they_cost(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 100}, 3000)
    ears = make_offer(make_farm(coop), "Corn", measure=Measure.COUNT, size=60, prices=[(1, 1000)])
    line = make_line(buy, ears)
    make_tally(make_supply(line, ears, called_in=1))
    make_division(line, {birch: 60})
    shown = preview_cost(buy, cost(coop, basis=Buy.Basis.BY_SHARE))
    assert shown.cents_by_household == {ash.pk: 750, birch.pk: 250}
    assert "Pounds and pieces" in shown.sentence


def test_figures_that_changed_since_the_preview_are_not_charged(coop, coordinator):
    ash, birch = households(coop, "Ash", "Birch")
    buy = divided(coop, {ash: 300, birch: 100}, 0)
    fuel = cost(coop, basis=Buy.Basis.BY_SHARE)
    seen = digest_of_cost(preview_cost(buy, fuel))
    the_line(buy).divisions.get().shares.filter(household=ash).update(amount=200)
    with pytest.raises(TooLate, match="changed since you looked"):
        add_charge(buy, fuel, by=coordinator, seen=seen)
    assert add_charge(buy, fuel, by=coordinator)


def test_the_same_form_sent_twice_is_charged_once(coop, coordinator, household):
    buy, number = divided(coop, {household: 300}, 0), uuid4()
    add_charge(buy, cost(coop), by=coordinator, once=number)
    with pytest.raises(AlreadyEntered):
        add_charge(buy, cost(coop), by=coordinator, once=number)
    assert balance(household) == -1000


def test_a_late_receipt_opens_a_squared_buy_again(coop, coordinator, household):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.SQUARED)
    add_charge(buy, cost(coop), by=coordinator)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.DIVIDED


@pytest.mark.parametrize(
    ("fields", "field"),
    (({"cents": 0}, "cents"), ({"what": Charge.What.PRODUCE}, "what")),
)
def test_a_cost_is_refused_at_its_field(coop, coordinator, household, fields, field):
    buy = divided(coop, {household: 300}, 0)
    with pytest.raises(Refused) as refusal:
        add_charge(buy, cost(coop, **fields), by=coordinator)
    assert refusal.value.field == field


def test_a_farm_does_not_pay_a_shared_cost(coop, coordinator, household):
    buy = divided(coop, {household: 300}, 0)
    paid = Cost(Charge.What.FUEL, "Fuel", 100, Buy.Basis.EQUALLY, farm_account(buy))
    with pytest.raises(Refused, match="The till paid it"):
        add_charge(buy, paid, by=coordinator)


def test_nobody_got_anything_so_nobody_pays(coop, coordinator, household):
    buy = divided(coop, {household: 0}, 0)
    with pytest.raises(Refused, match="nobody to share"):
        add_charge(buy, cost(coop), by=coordinator)


def test_a_cost_waits_for_the_division_and_is_not_a_plain_members_to_charge(
    coop, coordinator, member
):
    with pytest.raises(WrongStage):
        add_charge(make_collected_buy(coop), cost(coop), by=coordinator)
    with pytest.raises(NotAllowed):
        add_charge(divided(coop, {member.household: 300}, 0), cost(coop), by=member)


def test_the_basis_is_the_one_the_buy_stated(coop):
    buy = make_collected_buy(coop, fuel_basis=Buy.Basis.BY_SHARE, other_basis=Buy.Basis.EQUALLY)
    assert basis_of(buy, Charge.What.FUEL) == Buy.Basis.BY_SHARE
    assert basis_of(buy, Charge.What.KITCHEN) == Buy.Basis.EQUALLY
