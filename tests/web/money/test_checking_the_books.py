"""The nightly check finds what should never be."""

import pytest

from coop.buying.models import Buy, Charge
from coop.money.actions.checks import check_books
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import BooksCheck, Entry, Movement
from coop.money.tasks import check_books as nightly
from tests.web.money.books import account, charged, enter, households


def test_sound_books_say_so(coop, treasurer, household):
    charged(coop, {household: 300}, 4000, by=treasurer)
    check = check_books(coop)
    assert check.sound
    assert check.finding == "1 entry: all balances add up to zero."


def test_every_co_op_is_checked(coop, other_coop, treasurer, household):
    enter(household, coop, 500, by=treasurer)
    assert nightly() == 0
    assert {check.coop for check in BooksCheck.objects.all()} == {coop, other_coop}


def test_a_squared_buy_with_a_rest_is_found(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer, surplus=100)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.SQUARED)
    check = check_books(coop)
    assert not check.sound
    assert check.finding == "Sweet corn is squared, and $10.00 is still on it."
    assert nightly() == 1


def test_a_charge_unlike_its_movements_is_found(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    flows = [Flow(account(coop), buy.account, 500), Flow(buy.account, account(household), 500)]
    entry = post_entry(coop, Entry.Kind.COST, flows, title="Fuel", by=treasurer)
    Charge.objects.create(buy=buy, what="fuel", title="Fuel", cents=501, entry=entry)
    assert "differ" in check_books(coop).finding


def test_a_reversal_unlike_its_entry_is_found(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    entry = enter(ash, birch, 500, by=treasurer)
    crooked = Entry.objects.create(
        coop=coop, kind="reversal", title="x", made_by=treasurer, reverses=entry
    )
    Movement.objects.create(entry=crooked, source=account(birch), target=account(ash), cents=499)
    assert check_books(coop).finding == f"Entry {entry.pk} and its reversal differ."


def test_an_empty_entry_and_a_charge_reversed_by_half_are_found(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    charge = buy.charges.get()
    Entry.objects.create(
        coop=coop, kind="reversal", title="x", made_by=treasurer, reverses=charge.entry
    )
    finding = check_books(coop).finding
    assert "moves nothing" in finding
    assert f"Charge {charge.pk} and its reversal disagree." in finding


@pytest.mark.usefixtures("coop")
def test_empty_books_are_sound():
    assert nightly() == 0
    assert BooksCheck.objects.get().finding == "0 entries: all balances add up to zero."
