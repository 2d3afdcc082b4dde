"""What the database itself refuses, whoever asks: on both databases, in raw SQL too."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from coop.buying.actions.pay_in import take_cash
from coop.buying.models import BuyPayment, Charge, SpareClaim
from coop.money.actions.rounds import confirm_payment, square_up
from coop.money.models import Entry, Movement, Payment
from tests.web.money.books import (
    account,
    charge_of,
    charged,
    claim,
    enter,
    households,
    release,
    spare_of,
)


@pytest.fixture
def entry(coop, treasurer, household):
    return enter(household, coop, 1250, by=treasurer)


def refused(name, act):
    """The database refuses the act by the rule of that name, and the transaction goes on."""
    with pytest.raises(DatabaseError, match=name), transaction.atomic():
        act()


@pytest.mark.parametrize(
    "statement",
    (
        "UPDATE money_movement SET cents = cents + 1",
        "UPDATE money_movement SET note = 'x'",
        "DELETE FROM money_movement",
    ),
)
def test_a_movement_is_never_altered(entry, statement):
    refused("movement_is_never_altered", lambda: connection.cursor().execute(statement))
    assert Movement.objects.get().cents == 1250


@pytest.mark.parametrize(
    "statement", ("UPDATE money_entry SET title = 'x'", "DELETE FROM money_entry")
)
def test_an_entry_is_never_altered(entry, statement):
    refused("entry_is_never_altered", lambda: connection.cursor().execute(statement))
    assert Entry.objects.get().title == "Paid in"


def test_nothing_is_added_to_an_entry_once_another_followed(coop, treasurer, household, entry):
    enter(household, coop, 5, by=treasurer)
    late = Movement(entry=entry, source=account(coop), target=account(household), cents=1)
    refused("movement_comes_with_its_entry", late.save)


@pytest.mark.parametrize("cents", (0, -1))
def test_a_movement_is_above_zero(coop, household, entry, cents):
    wrong = Movement(entry=entry, source=account(coop), target=account(household), cents=cents)
    refused("movement_above_zero", wrong.save)


def test_a_movement_is_between_two_accounts(coop, entry):
    wrong = Movement(entry=entry, source=account(coop), target=account(coop), cents=1)
    refused("movement_between_two_accounts", wrong.save)


def test_a_movement_stays_within_its_co_op(coop, other_coop, entry):
    wrong = Movement(entry=entry, source=account(coop), target=account(other_coop), cents=1)
    refused("movement_within_one_coop", wrong.save)


def test_a_reversal_is_not_reversed(coop, treasurer, entry):
    reversal = Entry.objects.create(
        coop=coop, kind="reversal", title="x", made_by=treasurer, reverses=entry
    )
    again = Entry(coop=coop, kind="reversal", title="x", made_by=treasurer, reverses=reversal)
    refused("reversal_answers_an_entry_not_a_reversal", again.save)


def test_an_account_keeps_its_kind(coop, household):
    mine = account(household)
    mine.kind, mine.household = "farm", None
    refused("account_keeps_its_coop_and_kind", mine.save)


def test_a_payment_keeps_its_amount_and_stays_once_confirmed(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    enter(ash, birch, 500, by=treasurer)
    payment = square_up(coop, by=treasurer).payments.get()
    change = Payment.objects.filter(pk=payment.pk)
    refused("payment_keeps_its_amount", lambda: change.update(cents=1))
    confirm_payment(payment, by=treasurer)
    refused("payment_confirmed_stays", lambda: change.update(confirmed_at=None, entry=None))
    refused("payment_is_never_deleted", change.delete)


def test_a_charge_only_ever_gets_reversed_with_its_entry(coop, treasurer, household):
    charge = Charge.objects.filter(
        pk=charge_of(charged(coop, {household: 300}, 4000, by=treasurer)).pk
    )
    refused("charge_only_ever_gets_reversed", lambda: charge.update(cents=1))
    refused("charge_reversed_with_its_entry", lambda: charge.update(reversed_at=timezone.now()))
    refused("charge_is_never_deleted", charge.delete)


def test_a_line_has_one_standing_charge_of_its_produce(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer)
    first = charge_of(buy)
    other = enter(household, coop, 5, by=treasurer)
    again = Charge(buy=buy, line=first.line, what="produce", title="x", cents=5, entry=other)
    refused("charge_produce_once_a_line|UNIQUE constraint failed", again.save)


def test_a_claim_is_charged_to_its_own_line(coop, treasurer):
    ash, birch = households(coop, "Ash", "Birch")
    buys = [charged(coop, {ash: 300, birch: 1}, 4000, by=treasurer) for _ in range(2)]
    claimed: SpareClaim = claim(release(buys[0], ash), birch, 10, by=treasurer)
    other = enter(ash, coop, 5, by=treasurer)
    line = charge_of(buys[1]).line
    wrong = Charge(
        buy=buys[1], line=line, what="claim", title="x", cents=5, entry=other, claim=claimed
    )
    refused("charge_of_a_claim_of_its_line", wrong.save)


def test_a_payment_for_a_buy_is_never_altered(coop, treasurer, household):
    payment = take_cash(
        charged(coop, {household: 300}, 4000, by=treasurer), household, 500, by=treasurer
    )
    row = BuyPayment.objects.filter(pk=payment.pk)
    refused("buy_payment_is_never_altered", lambda: row.update(cents=1))
    refused("buy_payment_is_never_altered", row.delete)


def test_no_more_is_claimed_than_there_is(coop, treasurer, household):
    buy = charged(coop, {household: 300}, 4000, by=treasurer, surplus=10)
    claim(spare_of(buy), household, 6, by=treasurer)
    refused(
        "spare_claims_within_the_spare", lambda: claim(spare_of(buy), household, 5, by=treasurer)
    )
