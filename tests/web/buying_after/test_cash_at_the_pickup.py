"""Cash at the pickup: one tap, with who took it, and never twice."""

import pytest
from bs4 import BeautifulSoup

from coop.buying.actions.charges import charge_produce
from coop.buying.models import BuyPayment
from tests.web.money.books import balance, bill


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


def test_a_household_cannot_say_that_it_paid(as_member, household, button):
    address, typed = button
    assert as_member.post(address, typed).status_code == 403
    assert not BuyPayment.objects.exists()


def test_the_card_alone_comes_back_without_its_button(as_coordinator, button):
    address, typed = button
    answer = as_coordinator.post(address, typed, HTTP_HX_REQUEST="true")
    assert "Owes nothing" in answer.content.decode()
    assert address not in answer.content.decode()
