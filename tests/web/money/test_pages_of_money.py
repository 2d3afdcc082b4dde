"""The pages of money: what each shows, to whom, and what a refused form keeps."""

from functools import partial

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.money.actions.checks import check_books
from coop.money.models import Entry
from tests.web.factories import make_household
from tests.web.money.books import balance, charge_of, charged, enter
from tests.web.reading import main_of, sections_of, text_of


@pytest.fixture
def at(coop):
    """The address of a page of money in our co-op: `at("entry", entry.pk)`."""
    return partial(_address, coop)


def _address(coop, name, *parts):
    return reverse(f"money:{name}", args=[coop.slug, *parts])


@pytest.fixture
def entry(coop, treasurer, household):
    """Castell paid in 12.50."""
    return enter(household, coop, 1250, by=treasurer, title="Castell paid in")


# ---- The first page -------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_member_sees_their_own_balance_and_not_the_others(as_member, member, entry, at, coop):
    page = text_of(as_member.get(at("money")))
    assert "You are owed $12.50" in page
    assert "The till holds $12.50" in page
    assert "Households" not in sections_of(as_member.get(at("money")))


@pytest.mark.sqlite  # about the page alone
def test_who_keeps_the_books_sees_everybody(as_treasurer, as_coordinator, entry, at):
    for client in (as_treasurer, as_coordinator):
        table = sections_of(client.get(at("money")))["Households"]
        assert "Castell" in table
        assert "$12.50" in table
    assert "Square up" in text_of(as_treasurer.get(at("money")))
    assert "Square up" not in text_of(as_coordinator.get(at("money")))


@pytest.mark.sqlite  # about the page alone
def test_empty_books_say_what_will_stand_there(as_member, member, at):
    assert "Nothing has moved yet" in text_of(as_member.get(at("money")))


@pytest.mark.sqlite  # about the page alone
def test_what_is_open_leads_to_its_buy(as_member, coordinator, household, coop, at):
    buy = charged(coop, {household: 300}, 4000, by=coordinator, surplus=100)
    answer = as_member.get(at("money"))
    assert "$10.00 of a surplus is claimed by nobody yet" in sections_of(answer)["Open"]
    assert main_of(answer).find("a", href=reverse("buying:costs", args=[coop.slug, buy.pk]))


@pytest.mark.sqlite  # about the page alone
def test_the_last_check_of_the_books_is_told(as_member, coop, entry, at):
    check_books(coop)
    assert "1 entry: all balances add up to zero." in text_of(as_member.get(at("money")))


# ---- Statements -----------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_each_line_of_a_statement_leads_to_its_entry_and_to_its_place_in_the_buy(
    as_member, coordinator, household, coop, at
):
    buy = charged(coop, {household: 415}, 4000, by=coordinator)
    charge = charge_of(buy)
    page = main_of(as_member.get(at("statement", household.pk)))
    assert "Sweet corn, 41.5 lb" in page.find("a", href=at("entry", charge.entry_id))
    place = reverse("buying:costs", args=[coop.slug, buy.pk]) + f"#entry-{charge.entry_id}"
    assert page.find("a", href=place)
    costs = main_of(as_member.get(place.partition("#")[0]))
    assert "$40.00" in costs.find(id=f"entry-{charge.entry_id}").get_text()


def test_the_balance_runs(as_member, treasurer, household, coop, at):
    enter(household, coop, 1000, by=treasurer)
    enter(coop, household, 250, by=treasurer, kind=Entry.Kind.PAID_OUT)
    rows = main_of(as_member.get(at("statement", household.pk))).select("tbody tr")
    assert [row.select("td")[-1].get_text() for row in rows] == ["$10.00", "$7.50"]


@pytest.mark.sqlite  # about the page alone
def test_a_statement_is_for_its_household_and_who_keeps_the_books(
    as_member, as_other_household_member, as_treasurer, as_coordinator, as_outsider, household, at
):
    page = at("statement", household.pk)
    statuses = [
        client.get(page).status_code
        for client in (
            as_member,
            as_treasurer,
            as_coordinator,
            as_other_household_member,
            as_outsider,
        )
    ]
    assert statuses == [200, 200, 200, 403, 404]


@pytest.mark.sqlite  # about the page alone
def test_an_absent_household_has_no_statement(as_treasurer, at):
    assert as_treasurer.get(at("statement", 999_999)).status_code == 404


# ---- Entries --------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_an_entry_says_who_gave_what_to_whom(as_member, entry, at):
    page = text_of(as_member.get(at("entry", entry.pk)))
    assert "Castell To The till" in page or "Castell The till" in page
    assert "$12.50" in page
    assert "Reverse it" not in page


@pytest.mark.sqlite  # about the page alone
def test_an_entry_between_others_is_not_a_plain_members_to_read(
    as_member, as_other_household_member, as_treasurer, as_outsider, entry, at
):
    page = at("entry", entry.pk)
    clients = (as_member, as_treasurer, as_other_household_member, as_outsider)
    assert [client.get(page).status_code for client in clients] == [200, 200, 403, 404]


@pytest.mark.sqlite  # about the page alone
def test_an_entry_of_a_buy_is_everybodys_to_read(
    as_other_household_member, coordinator, household, coop, at
):
    buy = charged(coop, {household: 300}, 4000, by=coordinator)
    page = at("entry", charge_of(buy).entry_id)
    assert as_other_household_member.get(page).status_code == 200


@pytest.mark.sqlite  # about the page alone
def test_all_entries_are_for_who_keeps_the_books(as_member, as_treasurer, entry, at):
    assert as_member.get(at("entries")).status_code == 403
    assert "Castell paid in" in text_of(as_treasurer.get(at("entries")))


@pytest.mark.sqlite  # about the page alone
def test_the_treasurer_reverses_with_a_reason(as_treasurer, household, entry, at):
    page = at("reverse_entry", entry.pk)
    assert "Reverse this entry?" in text_of(as_treasurer.get(page))
    answer = as_treasurer.post(page, {"why": "It was Dufresne"})
    assert answer.url == at("entry", entry.reversed_by.pk)
    assert balance(household) == 0
    assert "It counts no longer" in text_of(as_treasurer.get(at("entry", entry.pk)))


@pytest.mark.sqlite  # about the page alone
def test_without_a_reason_nothing_is_reversed(as_treasurer, household, entry, at):
    answer = as_treasurer.post(at("reverse_entry", entry.pk), {"why": ""})
    assert answer.status_code == 422
    assert "Say why, for everybody to read." in text_of(answer)
    assert balance(household) == 1250


@pytest.mark.sqlite  # about the page alone
def test_others_reverse_nothing(as_member, as_coordinator, as_outsider, entry, household, at):
    page = at("reverse_entry", entry.pk)
    clients = (as_member, as_coordinator, as_outsider)
    for method in ("get", "post"):
        answers = [getattr(client, method)(page, {"why": "x"}) for client in clients]
        assert [answer.status_code for answer in answers] == [403, 403, 404]
    assert balance(household) == 1250


def test_an_owner_of_a_password_proves_it_before_an_entry_is_reversed(
    as_treasurer, treasurer, entry, at
):
    treasurer.user.set_password("larder-shelf-jars")
    treasurer.user.save()
    as_treasurer.force_login(treasurer.user)
    answer = as_treasurer.post(at("reverse_entry", entry.pk), {"why": "x"})
    assert "reauthenticate" in answer.url
    assert not Entry.objects.filter(reverses=entry).exists()


# ---- The till -------------------------------------------------------------------------------
def test_the_treasurer_takes_money_in(as_treasurer, household, at):
    typed = {"household": household.pk, "cents": "12.50", "note": "cheque"}
    answer = as_treasurer.post(at("pay_in"), typed)
    assert answer.url == at("money")
    assert balance(household) == 1250


@pytest.mark.parametrize(
    ("cents", "sentence"),
    (
        ("12.505", "USD goes to 2 decimals"),
        ("much", "Write it in figures"),
        ("", "This field is required."),
        ("0", "It cannot be less than"),
    ),
)
def test_a_wrong_amount_is_refused_at_its_field_and_what_was_typed_stays(
    as_treasurer, household, at, cents, sentence
):
    typed = {"household": household.pk, "cents": cents, "note": "the blue envelope"}
    answer = as_treasurer.post(at("pay_in"), typed)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert main_of(answer).find("input", {"name": "note"})["value"] == "the blue envelope"
    assert balance(household) == 0


@pytest.mark.sqlite  # about the page alone
def test_more_than_the_till_holds_is_refused_at_its_field(as_treasurer, household, entry, at):
    answer = as_treasurer.post(at("pay_out"), {"household": household.pk, "cents": "12.51"})
    assert answer.status_code == 422
    assert "The till holds $12.50" in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_household_cannot_be_chosen(as_treasurer, other_coop, at):
    theirs = make_household(other_coop)
    answer = as_treasurer.post(at("pay_in"), {"household": theirs.pk, "cents": "5"})
    assert answer.status_code == 422
    assert not Entry.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ("pay_in", "pay_out", "square_up"))
def test_the_treasurers_pages_are_the_treasurers(as_member, as_coordinator, as_outsider, at, name):
    for method in ("get", "post"):
        statuses = [
            getattr(client, method)(at(name)).status_code
            for client in (as_member, as_coordinator, as_outsider)
        ]
        assert statuses == [403, 403, 404]


# ---- Queries --------------------------------------------------------------------------------
def _fill(coop, treasurer, count):
    for _ in range(count):
        household = make_household(coop)
        charged(coop, {household: 300}, 4000, by=treasurer, surplus=10)
        enter(household, coop, 100, by=treasurer, title=f"{household.name} paid in")


@pytest.mark.sqlite  # as many queries on any database
@pytest.mark.parametrize("name", ("money", "entries", "square_up"))
def test_twice_the_households_ask_no_more_queries(name, as_treasurer, treasurer, coop, at):
    counts = []
    for _ in range(2):
        _fill(coop, treasurer, 10)
        with CaptureQueriesContext(connection) as queries:
            answer = as_treasurer.get(at(name))
        assert answer.content.count(b"Household") >= 10
        counts.append(len(queries))
    assert counts[0] == counts[1]


@pytest.mark.sqlite  # as many queries on any database
def test_a_long_statement_asks_no_more_queries(as_member, treasurer, household, coop, at):
    counts = []
    for _ in range(2):
        for _ in range(10):
            enter(household, coop, 100, by=treasurer)
        with CaptureQueriesContext(connection) as queries:
            rows = main_of(as_member.get(at("statement", household.pk))).select("tbody tr")
        counts.append((len(rows), len(queries)))
    assert (counts[0][0], counts[1][0]) == (10, 20)
    assert counts[0][1] == counts[1][1]


@pytest.mark.sqlite  # about the page alone
def test_a_very_long_name_and_three_hundred_households_are_shown(as_treasurer, treasurer, coop, at):
    enter(make_household(coop, "W" * 80), coop, 100, by=treasurer)
    for _ in range(300):
        make_household(coop)
    page = text_of(as_treasurer.get(at("money")))
    assert "W" * 80 in page
