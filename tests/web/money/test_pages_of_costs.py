"""The pages of a buy's costs: what each shows, to whom, and what a refused form keeps."""

from functools import partial
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.buying.actions.farm_payments import pay_farm
from coop.buying.models import Buy, BuyPayment, Charge, Share
from coop.money.models import Entry
from tests.web.buy_factories import make_buy, make_called_in_buy, the_line, the_supply
from tests.web.factories import make_household
from tests.web.money.books import account, balance, bill, charged, divided, farm_account
from tests.web.reading import main_of, sections_of, text_of


@pytest.fixture
def at(coop):
    """The address of a page of our co-op's buys: `at("costs", buy.pk)`."""
    return partial(_address, coop)


def _address(coop, name, *parts):
    return reverse(f"buying:{name}", args=[coop.slug, *parts])


@pytest.fixture
def buy(coop, coordinator, household, other_household):
    """30 lb and 10 lb shared, 5 lb that nobody asked for, a bill of 45.00, not charged."""
    shares = {household: 300, other_household: 100}
    fees = {"late_change_cents": 500, "no_show_cents": 800}
    return divided(coop, shares, 4500, surplus=50, coordinator=coordinator, **fees)


# ---- The page of all costs ------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_before_the_charge_it_says_what_is_not_charged(as_coordinator, as_member, buy, at):
    page = text_of(as_coordinator.get(at("costs", buy.pk)))
    assert "Not charged yet: Sweet corn, $45.00" in page
    assert "charge it" in page
    assert "charge it" not in text_of(as_member.get(at("costs", buy.pk)))


@pytest.mark.sqlite  # about the page alone
def test_after_the_charge_everybody_sees_who_pays_what(
    as_other_household_member, as_coordinator, buy, at
):
    as_coordinator.post(at("charge_produce", buy.pk))
    answer = as_other_household_member.get(at("costs", buy.pk))
    # By hand: 45.00 over 30, 10 and 5 lb is 1.00 a lb.
    table = sections_of(answer)["What each household pays"]
    assert "Castell 30 lb Sweet corn $30.00" in table
    assert "Dufresne 10 lb Sweet corn $10.00" in table
    assert "Together $40.00" in table
    assert "$5.00 is charged to nobody" in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_the_price_delivered_stands_beside_the_price_promised(as_member, coop, household, at):
    buy = divided(coop, {household: 300}, 2400)
    # By hand: one bushel of 35 lb promised at 24.00 is 68.57 cents a lb; 30 lb came for it: 80.
    page = sections_of(as_member.get(at("costs", buy.pk)))["Produce"]
    assert "35 lb $0.69 a lb" in page
    assert "30 lb $0.80 a lb" in page


def test_what_a_household_laid_out_counts_as_paid(as_member, coordinator, household, coop, at):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    pay_farm(buy, the_supply(buy).farm, 4000, payer=account(household), by=coordinator)
    row = main_of(as_member.get(at("costs", buy.pk))).select_one("tbody tr")
    assert row.select("td")[-1].get_text() == "$40.00"


@pytest.mark.sqlite  # about the page alone
def test_costs_of_another_co_op_are_not_there(as_outsider, buy, at):
    assert as_outsider.get(at("costs", buy.pk)).status_code == 404


@pytest.mark.sqlite  # as many queries on any database
def test_twice_the_households_ask_no_more_queries(as_coordinator, coordinator, coop, at):
    counts = []
    for count in (10, 20):
        shares = {make_household(coop): 100 for _ in range(count)}
        buy = charged(coop, shares, 4000, by=coordinator, surplus=10)
        with CaptureQueriesContext(connection) as queries:
            answer = as_coordinator.get(at("costs", buy.pk))
        assert len(main_of(answer).select("#households ~ table tbody tr")) == count
        counts.append(len(queries))
    assert counts[0] == counts[1]


# ---- Charging the produce -------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_what_is_shown_is_what_is_charged(as_coordinator, household, buy, at):
    page = as_coordinator.get(at("charge_produce", buy.pk))
    assert "Castell 30 lb $30.00" in text_of(page)
    assert "Spare table, charged to nobody 5 lb $5.00" in text_of(page)
    seen = main_of(page).find("input", {"name": "seen"})["value"]
    assert as_coordinator.post(at("charge_produce", buy.pk), {"seen": seen}).status_code == 302
    assert balance(household) == -3000


@pytest.mark.sqlite  # about the page alone
def test_figures_that_changed_meanwhile_get_a_clear_page(as_coordinator, household, buy, at):
    page = as_coordinator.get(at("charge_produce", buy.pk))
    seen = main_of(page).find("input", {"name": "seen"})["value"]
    bill(buy, 5000)
    answer = as_coordinator.post(at("charge_produce", buy.pk), {"seen": seen})
    assert answer.status_code == 409
    assert "has changed since you looked" in text_of(answer)
    assert balance(household) == 0


@pytest.mark.sqlite  # about the page alone
def test_nothing_to_charge_is_said(as_coordinator, coordinator, household, coop, at):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    assert "Nothing to charge" in text_of(as_coordinator.get(at("charge_produce", buy.pk)))


@pytest.mark.sqlite  # about the page alone
def test_a_bill_with_nobody_to_bear_it_is_explained(as_coordinator, buy, at):
    Share.objects.filter(division__line__buy=buy).update(amount=0, wanted=0)
    line = the_line(buy)
    line.divisions.update(surplus=0)
    page = text_of(as_coordinator.get(at("charge_produce", buy.pk)))
    assert "there is nobody to charge" in page


# ---- Other costs ----------------------------------------------------------------------------
def fuel(**typed):
    defaults = {"what": "fuel", "title": "Fuel to the farm", "cents": "10.00", "basis": "equally"}
    return defaults | typed


@pytest.mark.sqlite  # about the page alone
def test_a_cost_is_looked_at_before_it_is_charged(as_coordinator, coop, household, buy, at):
    typed = fuel(payer=account(coop).pk, once=uuid4())
    shown = as_coordinator.post(at("preview_charge", buy.pk), typed)
    assert shown.status_code == 200
    assert "Castell $5.00 Dufresne $5.00 Together $10.00" in text_of(shown)
    assert not Entry.objects.exists()
    hidden = {each["name"]: each["value"] for each in main_of(shown).select("input[type=hidden]")}
    answer = as_coordinator.post(at("add_charge", buy.pk), typed | hidden)
    assert answer.url == at("costs", buy.pk)
    assert balance(household) == -500


@pytest.mark.sqlite  # about the page alone
def test_the_basis_that_the_buy_stated_is_the_first(as_coordinator, coop, household, buy, at):
    Buy.objects.filter(pk=buy.pk).update(fuel_basis=Buy.Basis.BY_SHARE)
    typed = fuel(payer=account(coop).pk, basis="", once=uuid4())
    for _ in range(2):  # the same form twice counts once
        assert as_coordinator.post(at("add_charge", buy.pk), typed).status_code == 302
    assert balance(household) == -750
    assert Charge.objects.get().basis == Buy.Basis.BY_SHARE


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    (
        ({"cents": "ten"}, "Write it in figures"),
        ({"title": ""}, "This field is required."),
        ({"what": "produce"}, "Select a valid choice."),
        ({"payer": "999999"}, "Select a valid choice."),
    ),
)
@pytest.mark.parametrize("name", ("add_charge", "preview_charge"))
def test_a_wrong_cost_is_refused_and_what_was_typed_stays(
    as_coordinator, coop, buy, at, name, wrong, sentence
):
    typed = fuel(payer=account(coop).pk, note="receipt in the tin") | wrong
    answer = as_coordinator.post(at(name, buy.pk), typed)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert main_of(answer).find("input", {"name": "note"})["value"] == "receipt in the tin"
    assert not Entry.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_trip_without_miles_is_refused_at_the_basis(as_coordinator, coop, buy, at):
    farm = the_supply(buy).farm
    farm.round_trip_miles = 0
    farm.save()
    typed = fuel(payer=account(coop).pk, basis="by_trip")
    answer = as_coordinator.post(at("preview_charge", buy.pk), typed)
    assert answer.status_code == 422
    assert "has the miles of its trip written down" in text_of(answer)


# ---- Fees, credits, farms, cash -------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_no_show_is_charged_from_its_page(as_coordinator, household, buy, at):
    assert "This buy states $8.00." in text_of(as_coordinator.get(at("no_show_fee", buy.pk)))
    as_coordinator.post(at("no_show_fee", buy.pk), {"household": household.pk})
    assert balance(household) == -800


@pytest.mark.sqlite  # about the page alone
def test_a_late_change_is_charged_from_its_page(as_coordinator, household, buy, at):
    as_coordinator.post(at("late_change_fee", buy.pk), {"household": household.pk})
    assert balance(household) == -500


@pytest.mark.sqlite  # about the page alone
def test_a_buy_without_fees_says_so(as_coordinator, coop, household, at):
    buy = divided(coop, {household: 300}, 0)
    assert "This buy states none" in text_of(as_coordinator.get(at("no_show_fee", buy.pk)))


def test_a_credit_is_booked_from_its_page(as_coordinator, coordinator, household, coop, at):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    typed = {
        "line": the_line(buy).pk,
        "farm": the_supply(buy).farm_id,
        "cents": "5",
        "why": "One box was rotten",
    }
    assert as_coordinator.post(at("credit", buy.pk), typed | {"cents": "41"}).status_code == 422
    assert as_coordinator.post(at("credit", buy.pk), typed).status_code == 302
    assert balance(household) == -3500


@pytest.mark.sqlite  # about the page alone
def test_a_farm_is_paid_what_is_open(as_coordinator, coop, buy, at):
    page = at("pay_farm", buy.pk, the_supply(buy).farm_id)
    form = main_of(as_coordinator.get(page))
    assert form.find("input", {"name": "cents"})["value"] == "45.00"
    typed = {"cents": "45.00", "payer": account(coop).pk}
    assert as_coordinator.post(page, typed).url == at("costs", buy.pk)
    assert balance(farm_account(buy)) == -4500


@pytest.mark.sqlite  # about the page alone
def test_a_farm_gives_money_back(as_coordinator, coordinator, coop, at):
    buy = make_called_in_buy(coop)
    farm = the_supply(buy).farm
    pay_farm(buy, farm, 4000, payer=account(coop), by=coordinator)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.CALLED_OFF)
    page = at("farm_refund", buy.pk, farm.pk)
    assert "It owes the co-op $40.00." in text_of(as_coordinator.get(page))
    as_coordinator.post(page, {"cents": "40", "payee": account(coop).pk})
    assert balance(farm_account(buy)) == 0


@pytest.mark.sqlite  # about the page alone
def test_a_household_pays_ahead(as_coordinator, coordinator, coop, household, at):
    buy = make_buy(coop)
    page = at("prepay", buy.pk, household.pk)
    assert "stays the household's own" in text_of(as_coordinator.get(page))
    as_coordinator.post(page, {"cents": "20", "taken_by": coordinator.pk})
    assert balance(household) == 2000


@pytest.mark.sqlite  # about the page alone
def test_cash_is_filled_in_with_what_is_owed(as_coordinator, coordinator, household, coop, at):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    page = at("cash", buy.pk, household.pk)
    form = main_of(as_coordinator.get(page))
    assert form.find("input", {"name": "cents"})["value"] == "40.00"
    as_coordinator.post(page, {"cents": "40.00"})
    assert BuyPayment.objects.get().taken_by == coordinator
    assert balance(household) == 0


def test_the_till_carries_what_nobody_claimed(as_treasurer, as_coordinator, buy, at):
    as_coordinator.post(at("charge_produce", buy.pk))
    page = at("carry_unclaimed", buy.pk)
    assert "$5.00 of the farms' bill" in text_of(as_treasurer.get(page))
    assert as_coordinator.post(page).status_code == 403
    assert as_treasurer.post(page).status_code == 302
    assert balance(buy.account) == 0


# ---- Who may --------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    "name",
    (
        "charge_produce",
        "add_charge",
        "late_change_fee",
        "no_show_fee",
        "credit",
        "carry_unclaimed",
        "pay_farm",
        "farm_refund",
        "prepay",
        "cash",
    ),
)
def test_a_plain_member_gets_a_sentence_and_another_co_op_nothing(
    as_member, as_outsider, household, buy, at, name
):
    extra = {
        "pay_farm": the_supply(buy).farm_id,
        "farm_refund": the_supply(buy).farm_id,
        "prepay": household.pk,
        "cash": household.pk,
    }
    page = at(name, buy.pk, *([extra[name]] if name in extra else []))
    for method in ("get", "post"):
        assert getattr(as_member, method)(page).status_code == 403
        assert getattr(as_outsider, method)(page).status_code == 404
    assert not Entry.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_looking_changes_nothing(as_coordinator, buy, at):
    for name in ("costs", "charge_produce", "add_charge", "late_change_fee", "credit"):
        assert as_coordinator.get(at(name, buy.pk)).status_code == 200
    assert as_coordinator.get(at("preview_charge", buy.pk)).status_code == 405
    assert not Entry.objects.exists()
