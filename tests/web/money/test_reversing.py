"""An entry that was wrong is reversed, never deleted, and what hangs on it is put right."""

import pytest

from coop.buying.actions.charges import charge_claim, charge_produce
from coop.buying.actions.farm_payments import paid_cents_of_farm, pay_farm
from coop.buying.actions.reversals import reverse
from coop.buying.models import Buy, Charge
from coop.buying.queries.line_costs import claims_to_charge
from coop.money.errors import AlreadyReversed, NotAllowed, Refused
from coop.people.models import Change
from tests.web.buy_factories import the_supply
from tests.web.money.books import (
    account,
    balance,
    bill,
    charge_of,
    charged,
    claim,
    enter,
    farm_account,
    households,
    release,
    sum_of_balances,
)

WHY = "The bill was misread"


def test_a_reversal_takes_back_exactly_what_its_entry_did(coop, treasurer, household):
    entry = enter(household, coop, 1250, by=treasurer)
    reversal = reverse(entry, why=WHY, by=treasurer)
    assert balance(household) == balance(coop) == 0
    assert (reversal.reverses, reversal.note, reversal.made_by) == (entry, WHY, treasurer)


def test_it_is_reversed_once(treasurer, coop, household):
    entry = enter(household, coop, 1250, by=treasurer)
    reversal = reverse(entry, why=WHY, by=treasurer)
    with pytest.raises(AlreadyReversed, match="already"):
        reverse(entry, why=WHY, by=treasurer)
    with pytest.raises(AlreadyReversed, match="reversal already"):
        reverse(reversal, why=WHY, by=treasurer)
    assert balance(household) == 0


def test_it_needs_a_reason(coop, treasurer, household):
    entry = enter(household, coop, 1250, by=treasurer)
    with pytest.raises(Refused) as refusal:
        reverse(entry, why=" ", by=treasurer)
    assert refusal.value.field == "why"


def test_only_the_treasurer_reverses(coop, treasurer, coordinator, member, household):
    entry = enter(household, coop, 1250, by=treasurer)
    for by in (coordinator, member):
        with pytest.raises(NotAllowed):
            reverse(entry, why=WHY, by=by)
    assert balance(household) == 1250


def test_produce_whose_charge_was_reversed_is_charged_again_at_the_right_bill(
    coop, treasurer, household
):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    reverse(charge_of(buy).entry, why=WHY, by=treasurer)
    assert balance(household) == balance(farm_account(buy)) == 0
    bill(buy, 3900)
    charge_produce(buy, by=treasurer)
    assert (balance(household), balance(buy.account)) == (-3900, 0)


def test_what_was_reckoned_later_is_reversed_first(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=treasurer)
    charge_claim(claim(release(buy, ash), birch, 100, by=treasurer), by=treasurer)
    with pytest.raises(Refused, match="Birch takes"):
        reverse(charge_of(buy).entry, why=WHY, by=treasurer)
    reverse(charge_of(buy, "claim").entry, why=WHY, by=treasurer)
    reverse(charge_of(buy).entry, why=WHY, by=treasurer)
    assert [balance(each) for each in (ash, birch)] == [0, 0]


def test_a_claim_whose_charge_was_reversed_waits_to_be_charged_again(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=treasurer)
    claimed = claim(release(buy, ash), birch, 100, by=treasurer)
    charge_claim(claimed, by=treasurer)
    reverse(charge_of(buy, "claim").entry, why=WHY, by=treasurer)
    assert claims_to_charge(buy) == [claimed]
    charge_produce(buy, by=treasurer)
    assert (balance(ash), balance(birch)) == (-2000, -2000)
    assert not claims_to_charge(buy)


def test_a_reversed_payment_no_longer_pays_the_farm(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    farm = the_supply(buy).farm
    payment = pay_farm(buy, farm, 4000, payer=account(coop), by=treasurer)
    reverse(payment.entry, why=WHY, by=treasurer)
    assert paid_cents_of_farm(buy, farm) == 0
    assert pay_farm(buy, farm, 4000, payer=account(household), by=treasurer)


def test_a_squared_buy_is_open_again_and_its_history_says_why(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.SQUARED)
    reverse(charge_of(buy).entry, why=WHY, by=treasurer)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.DIVIDED
    assert Change.objects.filter(about=f"buy:{buy.pk}", sentence__contains=WHY).exists()
    assert not Charge.objects.filter(buy=buy, reversed_at__isnull=True).exists()
    assert sum_of_balances(coop) == 0
