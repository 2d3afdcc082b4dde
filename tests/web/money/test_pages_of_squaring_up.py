"""Squaring up on its pages: the preview, the round, payments from hand to hand."""

from functools import partial

import pytest
from django.urls import reverse

from coop.buying.actions.charges import carry_unclaimed
from coop.buying.actions.farm_payments import pay_farm
from coop.money.actions.rounds import mark_paid, square_up
from coop.money.models import Payment, SquareUp
from tests.web.buy_factories import the_supply
from tests.web.factories import make_household
from tests.web.money.books import account, balance, charged, enter
from tests.web.reading import text_of


@pytest.fixture
def at(coop):
    """The address of a page of money in our co-op: `at("round", round.pk)`."""
    return partial(_address, coop)


def _address(coop, name, *parts):
    return reverse(f"money:{name}", args=[coop.slug, *parts])


@pytest.fixture
def entry(coop, treasurer, household):
    """Castell paid in 12.50."""
    return enter(household, coop, 1250, by=treasurer, title="Castell paid in")


@pytest.fixture
def payment(coop, treasurer, household, other_household):
    """Castell owes Dufresne 7.00, and a round asks for it."""
    enter(other_household, household, 700, by=treasurer)
    return square_up(coop, by=treasurer).payments.get()


@pytest.mark.sqlite  # about the page alone
def test_the_preview_changes_nothing(as_treasurer, treasurer, household, other_household, at):
    enter(other_household, household, 700, by=treasurer)
    page = text_of(as_treasurer.get(at("square_up")))
    assert "Castell pays Dufresne $7.00" in page
    assert "No fewer payments would do." in page
    assert not SquareUp.objects.exists()


def test_the_round_is_made_as_it_was_shown(as_treasurer, treasurer, household, other_household, at):
    enter(other_household, household, 700, by=treasurer)
    answer = as_treasurer.post(at("square_up"))
    assert answer.url == at("round", SquareUp.objects.get().pk)
    assert Payment.objects.get().cents == 700


def test_who_is_left_out_is_left_out(as_treasurer, household, entry, at):
    keep = {"shown": "1", "keep": household.account.pk}
    assert "Nothing to pay" in text_of(as_treasurer.get(at("square_up"), keep))
    as_treasurer.post(at("square_up"), keep)
    assert balance(household) == 1250
    assert not Payment.objects.exists()


def test_a_payment_between_paid_and_confirmed_holds_a_new_round_up(
    as_treasurer, treasurer, payment, at
):
    mark_paid(payment, by=treasurer)
    page = as_treasurer.get(at("square_up"))
    assert "Squaring up must wait" in text_of(page)
    assert at("round", payment.square_up_id) in page.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_htmx_gets_the_preview_alone(as_treasurer, entry, at):
    part = as_treasurer.get(at("square_up"), {"shown": "1"}, HTTP_HX_REQUEST="true")
    assert part.content.decode().strip().startswith("<section")


@pytest.mark.sqlite  # about the page alone
def test_books_that_are_not_ready_say_what_to_do(as_treasurer, treasurer, household, coop, at):
    charged(coop, {household: 300}, 4000, by=treasurer)
    for method, status in (("get", 200), ("post", 422)):
        answer = getattr(as_treasurer, method)(at("square_up"))
        assert answer.status_code == status
        assert "Pay the farm first" in text_of(answer)
    assert not SquareUp.objects.exists()


def test_a_payment_goes_from_hand_to_hand(
    as_member, as_other_household_member, payment, household, at
):
    assert "Mark as paid" in text_of(as_member.get(at("money")))
    assert as_member.post(at("mark_paid", payment.pk)).status_code == 302
    assert "marked paid" in text_of(as_other_household_member.get(at("money")))
    assert as_other_household_member.post(at("confirm_payment", payment.pk)).status_code == 302
    assert balance(household) == 0
    page = text_of(as_member.get(at("round", payment.square_up_id)))
    assert "Everybody is square." in page


def test_a_mark_is_taken_back(as_member, payment, at):
    as_member.post(at("mark_paid", payment.pk))
    as_member.post(at("take_back_paid", payment.pk))
    payment.refresh_from_db()
    assert payment.paid_at is None


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ("mark_paid", "take_back_paid", "confirm_payment"))
def test_nobody_else_touches_a_payment(as_coordinator, as_outsider, as_member, payment, at, name):
    page = at(name, payment.pk)
    assert as_coordinator.post(page).status_code == 403
    assert as_outsider.post(page).status_code == 404
    assert as_member.get(page).status_code == 405


def test_a_payment_of_a_withdrawn_round_tells_so(as_treasurer, treasurer, coop, payment, at):
    square_up(coop, by=treasurer)
    answer = as_treasurer.post(at("confirm_payment", payment.pk))
    assert answer.status_code == 409
    assert "a newer one counts" in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_a_member_sees_only_the_payments_that_are_theirs(
    as_member, treasurer, coop, other_household, payment, at
):
    ash = make_household(coop, "Ash")
    enter(ash, other_household, 900, by=treasurer)
    made = square_up(coop, by=treasurer)
    mark_paid(made.payments.first(), by=treasurer)
    page = text_of(as_member.get(at("round", made.pk)))
    assert "Castell pays" in page
    assert "Dufresne pays Ash" not in page


@pytest.mark.sqlite  # about the page alone
def test_a_till_that_would_pay_more_than_it_holds_is_told(
    as_treasurer, treasurer, household, coop, at
):
    buy = charged(coop, {household: 300}, 4000, by=treasurer, surplus=100)
    pay_farm(buy, the_supply(buy).farm, 4000, payer=account(household), by=treasurer)
    carry_unclaimed(buy, by=treasurer)
    page = text_of(as_treasurer.get(at("square_up")))
    assert "The till pays Castell $10.00" in page
    assert "It is short of $10.00" in page
