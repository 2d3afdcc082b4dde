"""Cash at the pickup: one tap, with who took it, and never twice."""

import pytest
from bs4 import BeautifulSoup

from coop.buying.actions.charges import charge_produce
from coop.buying.models import BuyPayment
from coop.money.actions.entries import reverse_entry
from coop.money.models import Payment, SquareUp
from tests.web import factories
from tests.web.money.books import account, balance, bill


@pytest.fixture
def charged(divided, coordinator):
    bill(divided, 3000)
    charge_produce(divided, by=coordinator)
    return divided


@pytest.fixture
def button(as_coordinator, charged, household, at):
    """The form behind the one tap: its address, and what it sends."""
    page = BeautifulSoup(as_coordinator.get(at("pickup", charged.pk)).content, "html.parser")
    form = page.find("form", action=at("cash", charged.pk, household.pk))
    return form["action"], {each["name"]: each["value"] for each in form.find_all("input")}


def test_one_tap_writes_down_what_is_owed_and_who_took_it(
    as_coordinator, coordinator, household, button
):
    assert balance(household) < 0
    address, typed = button
    answer = as_coordinator.post(address, typed)
    assert answer.url.endswith(f"#household-{household.pk}")
    assert balance(household) == 0
    assert BuyPayment.objects.get().taken_by == coordinator


def test_a_tap_that_is_sent_twice_counts_once(as_coordinator, household, button):
    address, typed = button
    for _ in range(2):
        as_coordinator.post(address, typed)
    assert BuyPayment.objects.count() == 1
    assert balance(household) == 0


@pytest.mark.sqlite  # about the page alone
def test_a_household_cannot_say_that_it_paid(as_member, household, button):
    address, typed = button
    assert as_member.post(address, typed).status_code == 403
    assert not BuyPayment.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_the_card_alone_comes_back_without_its_button(as_coordinator, button):
    address, typed = button
    answer = as_coordinator.post(address, typed, HTTP_HX_REQUEST="true")
    assert "Owes nothing" in answer.content.decode()
    assert address not in answer.content.decode()


def card_of(client, charged, household, at):
    """The card of a household on the page."""
    page = BeautifulSoup(client.get(at("pickup", charged.pk)).content, "html.parser")
    return page.find(id=f"household-{household.pk}")


@pytest.mark.sqlite  # about the page alone
def test_the_card_says_what_was_written_and_where_it_is_put_right(
    as_coordinator, coordinator, household, charged, button, at
):
    address, typed = button
    part = as_coordinator.post(address, typed, HTTP_HX_REQUEST="true")
    payment = BuyPayment.objects.get()
    for card in (
        BeautifulSoup(part.content, "html.parser").article,
        card_of(as_coordinator, charged, household, at),
    ):
        assert f"Paid ${payment.cents / 100:.2f}, taken by {coordinator.name}" in card.get_text()
        assert "A treasurer can reverse it" in card.get_text()
        assert card.find("a", href=lambda url: url.endswith(f"/entries/{payment.entry_id}/"))


def test_what_is_reversed_is_not_said_to_be_paid(
    as_coordinator, treasurer, household, charged, button, at
):
    as_coordinator.post(*button)
    reverse_entry(BuyPayment.objects.get().entry, by=treasurer, why="Taken by mistake")
    text = card_of(as_coordinator, charged, household, at).get_text()
    assert "taken by" not in text
    assert "Took" in text


@pytest.mark.sqlite  # about the page alone
def test_the_money_comes_after_the_big_button(as_coordinator, household, charged, at):
    card = card_of(as_coordinator, charged, household, at)
    words = [each.get_text() for each in card.find_all("button")]
    assert words[0].startswith("Fetched")
    assert words[1].startswith("Took")


def say_paid(household, coop, by, cents):
    """A payment to the till in an open round, marked paid by who pays."""
    found = SquareUp.objects.create(coop=coop, made_by=by, proven_fewest=True)
    return Payment.objects.create(
        square_up=found,
        payer=account(household),
        payee=account(coop),
        cents=cents,
        paid_at=factories.NOW,
        paid_by=by,
    )


def test_what_is_marked_as_paid_is_not_asked_for_again(
    as_coordinator, coordinator, coop, household, charged, at
):
    owed = -balance(household)
    say_paid(household, coop, coordinator, owed - 150)
    card = card_of(as_coordinator, charged, household, at)
    said = f"of it ${(owed - 150) / 100:.2f} marked as paid, not confirmed yet"
    assert said in card.get_text()
    assert card.find("input", {"name": "cents"})["value"] == "1.50"


def test_another_amount_starts_from_what_is_not_marked_as_paid(
    as_coordinator, coordinator, coop, household, charged, at
):
    say_paid(household, coop, coordinator, -balance(household) - 150)
    form = as_coordinator.get(at("cash", charged.pk, household.pk)).content
    assert BeautifulSoup(form, "html.parser").find("input", {"name": "cents"})["value"] == "1.50"


def test_nothing_is_taken_from_whoever_marked_it_all_as_paid(
    as_coordinator, coordinator, coop, household, charged, at
):
    say_paid(household, coop, coordinator, -balance(household))
    assert "Took" not in card_of(as_coordinator, charged, household, at).get_text()


def test_a_round_that_was_withdrawn_counts_for_nothing(
    as_coordinator, coordinator, coop, household, charged, at
):
    say_paid(household, coop, coordinator, -balance(household))
    SquareUp.objects.update(withdrawn_at=factories.NOW)
    text = card_of(as_coordinator, charged, household, at).get_text()
    assert "Took" in text
    assert "marked as paid" not in text
