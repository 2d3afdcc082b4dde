"""The fewest payments bring everybody to zero; each counts once it is confirmed."""

import pytest

from coop.buying.actions.farm_payments import pay_farm
from coop.buying.actions.pay_in import prepay
from coop.buying.actions.squared import confirm_payment, square_up
from coop.buying.models import Buy
from coop.buying.queries.squaring import households_paid_ahead
from coop.core.transfers import fewest_transfers
from coop.money.actions.rounds import mark_paid, take_back_paid
from coop.money.errors import BooksNotReady, NotAllowed, PaymentSettled, RoundGone
from coop.money.models import SquareUp
from coop.money.queries.balances import balances_in
from coop.money.queries.rounds import accounts_behind, is_behind, open_round
from tests.web.buy_factories import make_buy, the_supply
from tests.web.factories import make_household, make_member
from tests.web.money.books import (
    account,
    balance,
    charged,
    divided,
    enter,
    farm_account,
    households,
)


@pytest.fixture
def three(coop, treasurer):
    """Ash fronted 12.00 and is owed it, Birch owes 5.00 of it, Cedar 7.00."""
    ash, birch, cedar = households(coop, "Ash", "Birch", "Cedar")
    enter(ash, birch, 500, by=treasurer)
    enter(ash, cedar, 700, by=treasurer)
    return ash, birch, cedar


def pay_all(square_up_, by):
    for payment in square_up_.payments.all():
        confirm_payment(payment, by=by)


def test_a_round_asks_for_the_fewest_payments(coop, treasurer, three):
    ash, birch, cedar = three
    made = square_up(coop, by=treasurer)
    asked = {
        (each.payer.household, each.payee.household, each.cents) for each in made.payments.all()
    }
    assert asked == {(birch, ash, 500), (cedar, ash, 700)}
    assert made.proven_fewest
    # As many as the core's own search finds, which is held against references in tests/core.
    balances = {str(each.account.pk): each.cents for each in balances_in(coop)}
    assert len(asked) == len(fewest_transfers(balances).payments)


def test_everybody_is_at_zero_once_all_is_confirmed(coop, treasurer, three):
    made = square_up(coop, by=treasurer)
    pay_all(made, treasurer)
    made.refresh_from_db()
    assert [balance(each) for each in three] == [0, 0, 0]
    assert made.finished_at


def test_a_payment_moves_nothing_before_it_is_confirmed(coop, treasurer, three):
    payment = square_up(coop, by=treasurer).payments.first()
    mark_paid(payment, by=treasurer)
    assert balance(three[0]) == 1200


def test_payer_marks_and_payee_confirms(coop, treasurer, three):
    ash, birch, _ = three
    made = square_up(coop, by=treasurer)
    payment = made.payments.get(payer=account(birch))
    mark_paid(payment, by=birch.members.get())
    confirm_payment(payment, by=ash.members.get())
    payment.refresh_from_db()
    assert (payment.paid_by, payment.confirmed_by) == (birch.members.get(), ash.members.get())
    assert balance(birch) == 0


def test_nobody_marks_or_confirms_for_others(coop, treasurer, three):
    ash, birch, cedar = three
    payment = square_up(coop, by=treasurer).payments.get(payer=account(birch))
    for by in (ash.members.get(), cedar.members.get()):
        with pytest.raises(NotAllowed):
            mark_paid(payment, by=by)
    for by in (birch.members.get(), cedar.members.get()):
        with pytest.raises(NotAllowed):
            confirm_payment(payment, by=by)


def test_a_mark_can_be_taken_back_until_it_is_confirmed(coop, treasurer, three):
    payment = square_up(coop, by=treasurer).payments.first()
    mark_paid(payment, by=treasurer)
    with pytest.raises(PaymentSettled):
        mark_paid(payment, by=treasurer)
    take_back_paid(payment, by=treasurer)
    confirm_payment(payment, by=treasurer)
    for act in (take_back_paid, mark_paid):
        with pytest.raises(PaymentSettled):
            act(payment, by=treasurer)


def test_a_payment_is_confirmed_once(coop, treasurer, three):
    payment = square_up(coop, by=treasurer).payments.first()
    confirm_payment(payment, by=treasurer)
    with pytest.raises(PaymentSettled, match=treasurer.name):
        confirm_payment(payment, by=treasurer)


def test_a_new_round_withdraws_the_old_one(coop, treasurer, three):
    old = square_up(coop, by=treasurer)
    new = square_up(coop, by=treasurer)
    assert open_round(coop) == new
    with pytest.raises(RoundGone, match="withdrawn"):
        confirm_payment(old.payments.first(), by=treasurer)


def test_money_that_is_on_its_way_keeps_a_round_from_being_withdrawn(coop, treasurer, three):
    old = square_up(coop, by=treasurer)
    mark_paid(old.payments.first(), by=treasurer)
    with pytest.raises(BooksNotReady, match="marked"):
        square_up(coop, by=treasurer)
    assert open_round(coop) == old


def test_a_round_knows_when_it_is_behind_the_books(coop, treasurer, three):
    made = square_up(coop, by=treasurer)
    assert not is_behind(made)
    enter(three[1], coop, 100, by=treasurer)
    assert is_behind(made)
    assert accounts_behind(made) == {account(three[1]).pk}


def test_who_is_left_out_keeps_their_balance_in_the_till(coop, treasurer, household):
    enter(household, coop, 2500, by=treasurer)
    made = square_up(coop, by=treasurer, keep=[account(household).pk])
    assert made.finished_at
    assert balance(household) == 2500


def test_the_till_pays_out_what_it_holds_for_a_household(coop, treasurer, household):
    enter(household, coop, 2500, by=treasurer)
    payment = square_up(coop, by=treasurer).payments.get()
    assert (payment.payer, payment.payee) == (account(coop), account(household))


def test_what_was_paid_ahead_is_proposed_to_stay(coop, coordinator, household):
    prepay(make_buy(coop), household, 2500, by=coordinator)
    assert households_paid_ahead(coop) == {household.pk}


def test_only_the_treasurer_squares_up(coop, coordinator, treasurer, three):
    with pytest.raises(NotAllowed):
        square_up(coop, by=coordinator)
    assert square_up(coop, by=treasurer)


# ---- When it must wait ----------------------------------------------------------------------
def test_it_waits_while_a_cost_is_charged_to_nobody(coop, treasurer, household):
    charged(coop, {household: 300}, 4000, by=treasurer, surplus=100)
    with pytest.raises(BooksNotReady, match=r"\$10\.00 of its cost is charged to nobody yet"):
        square_up(coop, by=treasurer)


def test_it_waits_for_an_unpaid_farm(coop, treasurer, household):
    charged(coop, {household: 300}, 4000, by=treasurer)
    with pytest.raises(BooksNotReady, match=r"still owed \$40\.00"):
        square_up(coop, by=treasurer)
    assert not SquareUp.objects.exists()


def test_it_waits_for_produce_that_is_not_charged(coop, treasurer, household):
    divided(coop, {household: 300}, 4000)
    with pytest.raises(BooksNotReady, match="not charged yet"):
        square_up(coop, by=treasurer)


def test_a_buy_that_only_asks_keeps_nobody_waiting(coop, treasurer, three):
    make_buy(coop)
    assert square_up(coop, by=treasurer).payments.count() == 2


# ---- Buys -----------------------------------------------------------------------------------
def test_the_last_payment_squares_the_buys(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    buy = charged(coop, {ash: 300, birch: 100}, 4000, by=treasurer)
    pay_farm(buy, the_supply(buy).farm, 4000, payer=account(ash), by=treasurer)
    made = square_up(coop, by=treasurer)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.DIVIDED
    pay_all(made, treasurer)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.SQUARED
    assert balance(farm_account(buy)) == balance(buy.account) == 0


def test_a_round_without_payments_squares_the_buys_at_once(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    pay_farm(buy, the_supply(buy).farm, 4000, payer=account(household), by=treasurer)
    assert square_up(coop, by=treasurer).finished_at
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.SQUARED


def test_a_buy_charged_after_the_round_was_made_is_not_squared_with_it(coop, treasurer, three):
    made = square_up(coop, by=treasurer)
    late = charged(coop, {three[0]: 300}, 4000, by=treasurer)
    pay_all(made, treasurer)
    late.refresh_from_db()
    assert late.stage == Buy.Stage.DIVIDED


def test_many_households_are_squared_up_quickly_and_exactly(coop, treasurer):
    """Two hundred open balances, more than any search goes through; all are at zero in the end."""
    bank = make_household(coop)
    make_member(bank)
    for number in range(200):
        enter(bank, make_household(coop), 100 + number * 7, by=treasurer)
    made = square_up(coop, by=treasurer)
    assert made.payments.count() <= 200
    assert sum(payment.cents for payment in made.payments.all()) == balance(bank)
