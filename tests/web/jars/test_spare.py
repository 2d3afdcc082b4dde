"""Who has spare jars: what is shown, in which order, and what is looked for."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from coop.people.models import Coop, Household, Member
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_count, make_home, make_loan
from tests.web.reading import main_of, text_of, words

pytestmark = pytest.mark.django_db
ADDRESS = "/cottonwood/jars/spare/"
QUARTS, PINTS = "quart_wide", "pint_regular"


def neighbour(coop: Coop, name: str, kinds: dict[str, Any], **fields: Any) -> Household:
    """A household with a count; `north` are the degrees where it lives."""
    north = fields.pop("north", None)
    household = factories.make_household(coop, name)
    if north is not None:
        make_home(household, north, "-108.40")
    make_count(household, kinds, **fields)
    return household


def rows(answer: Any) -> list[str]:
    return [words(row) for row in main_of(answer).select("tbody tr")]


def names(answer: Any) -> list[str]:
    return [words(row) for row in main_of(answer).select("tbody .household")]


@pytest.fixture
def neighbours(coop: Coop, household: Household) -> dict[str, Household]:
    """Our household and three more; a hundredth of a degree north is about 0.7 mile."""
    make_home(household, "39.00", "-108.40")
    return {
        "far": neighbour(coop, "Alder", {QUARTS: (0, 30, 20)}, north="39.20"),
        "near": neighbour(coop, "Birch", {PINTS: (0, 9, 9)}, north="39.03"),
        "unplaced": neighbour(coop, "Cedar", {QUARTS: (5, 9, 4), PINTS: (0, 3, 0)}),
    }


def test_the_nearest_come_first_and_unknown_distances_last(
    as_member: Client, neighbours: dict[str, Household]
) -> None:
    answer = as_member.get(ADDRESS)
    # One degree of latitude is about 69 miles (60 nautical miles of 6,076 ft; from memory).
    assert [("about 2 miles" in row, "about 14 miles" in row) for row in rows(answer)] == [
        (True, False),
        (False, True),
        (False, False),
    ]
    assert "distance not known" in rows(answer)[2]


def test_columns_are_the_kinds_that_anyone_has_to_spare(
    as_member: Client, neighbours: dict[str, Household]
) -> None:
    heads = [words(head) for head in main_of(as_member.get(ADDRESS)).select("thead th")]
    assert heads == [
        "Household",
        "Pint, regular",
        "Quart, wide",
        "Lids, regular",
        "Lids, wide",
        "Ask",
    ]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["Birch", "Alder", "Cedar"]),
        ("size=quart", ["Alder", "Cedar"]),
        ("mouth=regular", ["Birch"]),
        ("kind=quart_wide", ["Alder", "Cedar"]),
        ("kind=quart_regular", []),
        ("within=5", ["Birch"]),
        ("within=20", ["Birch", "Alder"]),
        ("size=quart&within=5", []),
        ("kind=none&page=99", ["Birch", "Alder", "Cedar"]),
    ],
)
def test_what_is_looked_for(
    as_member: Client, neighbours: dict[str, Household], query: str, found: list[str]
) -> None:
    answer = as_member.get(f"{ADDRESS}?{query}")
    assert answer.status_code == 200
    assert [name.split()[-1] for name in names(answer)] == found


def test_households_left_out_for_want_of_a_distance_are_counted(
    as_member: Client, neighbours: dict[str, Household]
) -> None:
    assert "1 household with such jars left out" in text_of(as_member.get(f"{ADDRESS}?within=20"))


@pytest.mark.parametrize("query", ["within=-3", "within=far", "within=501", "size=bucket"])
def test_what_cannot_be_looked_for_is_said_at_its_field(
    as_member: Client, neighbours: dict[str, Household], query: str
) -> None:
    answer = as_member.get(f"{ADDRESS}?{query}")
    assert answer.status_code == 422
    assert main_of(answer).select(".field-error")
    assert len(rows(answer)) == 3


def test_without_a_place_of_ones_own_the_page_asks_for_it(
    as_other_household_member: Client, neighbours: dict[str, Household]
) -> None:
    answer = as_other_household_member.get(f"{ADDRESS}?within=5")
    assert main_of(answer).select('.lede a[href="/cottonwood/jars/home/"]')
    assert "No distance is known" in text_of(answer)
    assert "distance not known" not in text_of(as_other_household_member.get(ADDRESS))


def test_asking_starts_with_the_kind_that_is_looked_for(
    as_member: Client, neighbours: dict[str, Household]
) -> None:
    page = main_of(as_member.get(f"{ADDRESS}?kind={QUARTS}"))
    asked = [link["href"] for link in page.select("tbody a.button")]
    assert asked == [
        f"/cottonwood/jars/borrow/{neighbours['far'].pk}/?kind=quart_wide&count=12",
        f"/cottonwood/jars/borrow/{neighbours['unplaced'].pk}/?kind=quart_wide&count=4",
    ]


def test_what_is_promised_is_not_shown_as_spare(
    as_member: Client, household: Household, neighbours: dict[str, Household]
) -> None:
    make_loan(neighbours["far"], household, {QUARTS: 15}, agreed=True)
    row = rows(as_member.get(ADDRESS))[1]
    assert "Alder about 14 miles counted 2 days ago 5 Ask to borrow from Alder" in row


def test_old_counts_are_marked(as_member: Client, coop: Coop) -> None:
    neighbour(coop, "Alder", {QUARTS: (0, 9, 9)}, at=NOW - timedelta(days=200))
    chip: Any = main_of(as_member.get(ADDRESS)).select_one("tbody .chip")
    assert ("200 days ago" in chip.get_text(), "chip-warn" in chip["class"]) == (True, True)


def test_ones_own_jars_stand_apart(as_member: Client, household: Household) -> None:
    make_count(household, {QUARTS: (0, 9, 7)})
    answer = as_member.get(ADDRESS)
    assert rows(answer) == []
    assert "7 quarts, wide mouth" in text_of(answer)


def test_nobody_reads_where_others_live_or_what_another_co_op_has(
    as_member: Client, neighbours: dict[str, Household], outsider: Member
) -> None:
    make_count(outsider.household, {QUARTS: (0, 9, 9)})
    answer = as_member.get(ADDRESS)
    assert "Eklund" not in text_of(answer)
    assert "39.2" not in answer.content.decode()
    assert "39.03" not in answer.content.decode()


@pytest.mark.sqlite  # as many queries on any database
def test_many_households_are_paged_and_asked_for_in_as_many_queries(
    as_member: Client, coop: Coop
) -> None:
    asked, shown = [], []
    for more in (10, 35):
        for number in range(more):
            neighbour(coop, f"Neighbour {more}-{number}", {QUARTS: (0, 9, 9)}, north="39.03")
        with CaptureQueriesContext(connection) as queries:
            answer = as_member.get(f"{ADDRESS}?size=quart")
        asked.append(len(queries))
        shown.append(len(rows(answer)))
    assert shown == [10, 40]
    assert asked[0] == asked[1]
    assert len(rows(as_member.get(f"{ADDRESS}?size=quart&page=2"))) == 5
    assert main_of(answer).select('a[rel=next][href="?size=quart&page=2"]')
