"""Counting jars: the page with every kind, who may, and what wrong numbers get."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.jars.models import Count
from coop.jars.queries.stock import Held, HeldLids, stock_of
from coop.people.models import Household, Member
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_count, make_loan
from tests.web.reading import main_of, text_of, words

pytestmark = pytest.mark.django_db
QUARTS, PINTS = "quart_wide", "pint_regular"


@pytest.fixture
def address(member: Member) -> str:
    return reverse("jars:count", args=["cottonwood"])


def typed_in(client: Client, address: str) -> dict[str, str]:
    """What the form holds when it is opened."""
    form = main_of(client.get(address)).select_one("form[method=post]")
    assert form is not None
    return {str(field["name"]): str(field.get("value", "")) for field in form.select("input[name]")}


def newest(household: Household) -> Count:
    return household.jar_counts.all()[0]


# ---- It works -------------------------------------------------------------------------------
def test_a_count_keeps_jars_lids_and_bands(as_member: Client, member: Member, address: str) -> None:
    numbers = {
        f"{QUARTS}-full": "12",
        f"{QUARTS}-empty": "30",
        f"{QUARTS}-spare": "6",
        f"{PINTS}-empty": "4",
        "wide-lids": "48",
        "regular-bands": "9",
    }
    answer = as_member.post(address, typed_in(as_member, address) | numbers)
    assert (answer.status_code, answer["Location"]) == (302, "/cottonwood/jars/")
    stock = stock_of(member.household)
    assert dict(stock.kinds) == {PINTS: Held(0, 4, 0), QUARTS: Held(12, 30, 6)}
    assert dict(stock.lids) == {"regular": HeldLids(0, 9), "wide": HeldLids(48, 0)}
    assert (stock.by, stock.counted_at) == (member, NOW)


@pytest.mark.sqlite  # about the page alone
def test_the_form_starts_from_the_newest_count(
    as_member: Client, member: Member, address: str
) -> None:
    make_count(member.household, {QUARTS: (12, 30, 6)}, lids={"wide": (48, 50)})
    before = typed_in(as_member, address)
    assert [before[f"{QUARTS}-{state}"] for state in ("full", "empty", "spare")] == [
        "12",
        "30",
        "6",
    ]
    assert (before["wide-lids"], before[f"{PINTS}-full"]) == ("48", "")
    as_member.post(address, before | {f"{QUARTS}-full": "20"})
    assert dict(stock_of(member.household).kinds) == {QUARTS: Held(20, 30, 6)}
    assert member.household.jar_counts.count() == 2


def test_kinds_that_the_household_has_ever_had_come_first(
    as_member: Client, member: Member, address: str
) -> None:
    make_count(member.household, {PINTS: (1, 0, 0)}, at=NOW - timedelta(days=90))
    make_count(member.household, {QUARTS: (12, 0, 0)})
    page = main_of(as_member.get(address))
    folded = {legend.get_text() for legend in page.select("details legend")}
    shown = {legend.get_text() for legend in page.select("form > .count-kinds legend")}
    assert {"Pint, regular mouth", "Quart, wide mouth"} <= shown
    assert "Half-gallon, wide mouth" in folded
    assert len(shown | folded) == 14  # six sizes by two mouths, and two mouths of lids


def test_promised_jars_are_counted_with_the_spare_ones_and_taken_off_once(
    as_member: Client, member: Member, other_household: Household, address: str
) -> None:
    make_count(member.household, {QUARTS: (0, 30, 20)})
    make_loan(member.household, other_household, {QUARTS: 8}, agreed=True)
    assert stock_of(member.household).kinds[QUARTS].spare == 12
    before = typed_in(as_member, address)
    assert before[f"{QUARTS}-spare"] == "20"
    as_member.post(address, before)
    assert stock_of(member.household).kinds[QUARTS] == Held(0, 30, 12)


# ---- Who may --------------------------------------------------------------------------------
def test_a_coordinator_counts_for_another_household(
    as_coordinator: Client, coordinator: Member, household: Household, address: str
) -> None:
    address += f"?household={household.pk}"
    as_coordinator.post(address, {f"{QUARTS}-full": "3", "seen": "0"})
    assert newest(household).by == coordinator


@pytest.mark.sqlite  # about the page alone
def test_a_member_may_not_count_for_another_household(
    as_member: Client, other_household: Household, address: str
) -> None:
    address += f"?household={other_household.pk}"
    for answer in (as_member.get(address), as_member.post(address, {f"{QUARTS}-full": "3"})):
        assert answer.status_code == 403
        assert "members of Dufresne" in answer.content.decode()
    assert not Count.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_household_absent_and_malformed_are_not_found(
    as_coordinator: Client, outsider: Member, address: str
) -> None:
    for named in (str(outsider.household.pk), "999999", "x", "-1", "9" * 30):
        assert as_coordinator.get(f"{address}?household={named}").status_code == 404
        assert as_coordinator.post(f"{address}?household={named}", {}).status_code == 404


def test_a_household_that_has_left_is_not_counted(
    as_coordinator: Client, household: Household, address: str
) -> None:
    gone = factories.make_household(household.coop, "Gone", left_at=NOW)
    answer = as_coordinator.post(f"{address}?household={gone.pk}", {f"{QUARTS}-full": "3"})
    assert answer.status_code == 409
    assert "Gone has left the co-op." in text_of(answer)
    assert not Count.objects.exists()


# ---- Wrong numbers --------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("full", "-1", "cannot be less than 0"),
        ("full", "a few", "Write it in figures"),
        ("full", "2.5", "Whole numbers only"),
        ("full", "10000", "cannot be more than 9,999"),
        ("empty", "1,000,000", "cannot be more than 9,999"),
        ("spare", "31", "31 of 30 empty cannot be spare"),
    ],
)
def test_a_wrong_number_is_refused_and_everything_typed_kept(
    as_member: Client, address: str, field: str, typed: str, said: str
) -> None:
    numbers = {f"{QUARTS}-empty": "30", f"{PINTS}-full": "7", f"{QUARTS}-{field}": typed}
    answer = as_member.post(address, numbers)
    assert answer.status_code == 422
    assert said in text_of(answer)
    page = main_of(answer)
    for name, value in numbers.items():
        assert page.select_one(f'[name="{name}"]')["value"] == value  # type: ignore[index]
    assert not Count.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("name", "label"),
    [
        (f"{QUARTS}-spare", "Quart, wide mouth, spare"),
        ("half_gallon_regular-full", "Half-gallon, regular mouth, full"),
        ("regular-lids", "Regular mouth, new lids"),
    ],
)
def test_a_wrong_number_names_its_kind_in_the_box_and_is_short_in_its_group(
    as_member: Client, address: str, name: str, label: str
) -> None:
    page = main_of(as_member.post(address, {name: "-1"}))
    box, field = page.select_one("[data-errors]"), page.select_one(f'[name="{name}"]')
    assert box is not None
    assert field is not None
    assert f"{label} : It cannot be less than 0" in words(box)
    short = page.select_one(f'label[for="{field["id"]}"]')
    assert short is not None
    assert words(short) == label.rsplit(", ", maxsplit=1)[-1].capitalize()


@pytest.mark.sqlite  # about the page alone
def test_what_is_wrong_among_the_folded_kinds_is_unfolded(as_member: Client, address: str) -> None:
    answer = as_member.post(address, {"half_gallon_wide-full": "x"})
    assert main_of(answer).select_one("details[open] [name=half_gallon_wide-full]")


# ---- Twice, and meanwhile -------------------------------------------------------------------
def test_a_form_sent_twice_is_one_count(as_member: Client, member: Member, address: str) -> None:
    numbers = typed_in(as_member, address) | {f"{QUARTS}-full": "12"}
    for _ in range(2):
        assert as_member.post(address, numbers).status_code == 302
    assert member.household.jar_counts.count() == 1


def test_who_counted_meanwhile_is_said_and_a_second_sending_keeps_mine(
    as_member: Client, member: Member, address: str
) -> None:
    numbers = typed_in(as_member, address) | {f"{QUARTS}-full": "12"}
    partner = factories.make_member(member.household, "Tomas Castell")
    make_count(member.household, {QUARTS: (11, 0, 0)}, by=partner, at=NOW)
    answer = as_member.post(address, numbers)
    assert answer.status_code == 422
    assert "Tomas Castell has counted since" in text_of(answer)
    assert member.household.jar_counts.count() == 1
    page = main_of(answer)
    again = {
        str(field["name"]): str(field.get("value", "")) for field in page.select("input[name]")
    }
    assert again[f"{QUARTS}-full"] == "12"
    assert as_member.post(address, again).status_code == 302
    assert newest(member.household).by == member


# ---- History --------------------------------------------------------------------------------
def test_the_history_has_every_count_and_is_read_by_all_of_the_co_op(
    as_other_household_member: Client, member: Member
) -> None:
    make_count(member.household, {QUARTS: (12, 30, 6)}, lids={"wide": (48, 1)})
    make_count(member.household, {PINTS: (1, 0, 0)}, at=NOW - timedelta(days=90))
    text = text_of(as_other_household_member.get(f"/cottonwood/jars/counts/{member.household_id}/"))
    assert "Quart, wide mouth: 12 full, 30 empty, 6 of them spare" in text
    assert "Wide mouth: 48 new lids, 1 band" in text
    assert "90 days ago, by Ines Castell" in text
    assert "Count again" not in text


@pytest.mark.sqlite  # about the page alone
def test_the_history_of_another_co_op_is_not_found(as_member: Client, outsider: Member) -> None:
    assert as_member.get(f"/cottonwood/jars/counts/{outsider.household_id}/").status_code == 404


@pytest.mark.sqlite  # as many queries on any database
def test_the_history_asks_the_database_as_often_for_ten_counts_as_for_two(
    as_member: Client, member: Member
) -> None:
    address = f"/cottonwood/jars/counts/{member.household_id}/"
    asked = []
    for more in (2, 8):
        for days in range(more):
            make_count(member.household, lids={"wide": (1, 1)}, at=NOW - timedelta(days=days))
        with CaptureQueriesContext(connection) as queries:
            page = main_of(as_member.get(address))
        asked.append((len(page.select("section.plate")), len(queries)))
    assert [shown for shown, _ in asked] == [2, 10]
    assert asked[0][1] == asked[1][1]


# ---- The first page -------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("days", "said", "tone"),
    [(0, "counted today", ""), (61, "counted 61 days ago", "soon"), (200, "200 days ago", "warn")],
)
def test_the_first_page_shows_what_there_is_and_how_old_the_count_is(
    as_member: Client, member: Member, days: int, said: str, tone: str
) -> None:
    make_count(member.household, {QUARTS: (12, 30, 6)}, at=NOW - timedelta(days=days))
    answer = as_member.get("/cottonwood/jars/")
    chip: Any = main_of(answer).select_one(".plate .chip")
    assert said in chip.get_text()
    assert (f"chip-{tone}" in chip["class"]) == bool(tone)
    row: Any = main_of(answer).select_one("tbody tr")
    assert [cell.get_text() for cell in row.select("th, td.number")] == [
        "Quart, wide mouth",
        "12",
        "30",
        "6",
    ]


@pytest.mark.sqlite  # about the page alone
def test_the_first_page_of_a_household_without_a_count_asks_for_one(as_member: Client) -> None:
    page = main_of(as_member.get("/cottonwood/jars/"))
    assert "not counted yet" in page.get_text()
    assert len(page.select(".button-main")) == 1


def test_the_first_page_says_how_many_jars_are_with_others(
    as_member: Client, household: Household, other_household: Household
) -> None:
    make_loan(household, other_household, {QUARTS: 8}, handed_over=True)
    make_loan(other_household, household, {PINTS: 5}, handed_over=True)
    text = text_of(as_member.get("/cottonwood/jars/"))
    assert "8 jars of yours are with others; you have 5 of theirs" in text


@pytest.mark.sqlite  # as many queries on any database
def test_the_first_page_asks_the_database_as_often_for_many_loans_as_for_one(
    as_member: Client, household: Household
) -> None:
    asked, shown = [], []
    for more in (1, 4):
        for _ in range(more):
            make_loan(household, kinds={QUARTS: 8, PINTS: 2}, handed_over=True)
        with CaptureQueriesContext(connection) as queries:
            page = main_of(as_member.get("/cottonwood/jars/"))
        asked.append(len(queries))
        shown.append(len(page.select("[aria-labelledby=lent] .row")))
    assert shown == [1, 5]
    assert asked[0] == asked[1]


def test_a_kind_that_was_folded_away_is_kept_like_any_other(
    as_member: Client, member: Member, address: str
) -> None:
    numbers = typed_in(as_member, address) | {"half_gallon_wide-full": "2"}
    as_member.post(address, numbers)
    assert dict(stock_of(member.household).kinds) == {"half_gallon_wide": Held(2, 0, 0)}
