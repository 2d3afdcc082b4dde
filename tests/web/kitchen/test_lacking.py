"""What a plan lacks: after the household's earlier plans, for the likely number and to be sure."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.jars.queries.stock import stock_of, stocks_in
from coop.kitchen.queries.lacking import Wanted, shortage_of
from coop.kitchen.queries.needs import jars_wanted, needs_of, plans_to_can, to_can
from coop.kitchen.queries.plates import sheet_of
from tests.web.factories import NOW
from tests.web.kitchen_factories import (
    QUARTS,
    make_count,
    make_fate,
    make_lot,
    make_outcome,
    make_plan,
    make_use,
)
from tests.web.reading import main_of, text_of, words

#: Enough of them for every plan here.
LIDS = {"regular": (200, 200)}


def planned(household, jars, days_ago, **fields):
    """A plan that was made so long ago, for so many quarts."""
    plan = make_plan(household, at=NOW - timedelta(days=days_ago))
    make_use(plan, jars=jars, **fields)
    return plan


def quarts(plan):
    shortage = shortage_of(sheet_of(plan), stock_of(plan.household), NOW)
    return next(need for need in shortage.needs if need.kind == QUARTS)


@pytest.fixture
def counted(household):
    """Has 10 empty quarts."""
    make_count(household, {QUARTS: (0, 10, 0)}, at=NOW - timedelta(days=9), lids=LIDS)
    return household


@pytest.fixture
def page(coop, as_member):
    """What the table of a plan's page says, by the first words of each row."""

    def shown(plan):
        main = main_of(as_member.get(f"/{coop.slug}/plans/{plan.pk}/"))
        rows = main.select("section[aria-labelledby=jars-wanted] tbody tr")
        cells = [[words(cell) for cell in row.select("th, td")] for row in rows]
        return {first: rest for first, *rest in cells}

    return shown


def test_three_plans_never_claim_the_same_jars_the_oldest_comes_first(counted):
    last, first, middle = (planned(counted, 8, days) for days in (1, 3, 2))
    assert [quarts(plan).lacking for plan in (first, middle, last)] == [0, 6, 8]
    # Together they lack what the match of the whole co-op finds.
    wanted = jars_wanted(to_can(plans_to_can(counted.coop)), sure=False)
    (need,) = needs_of(wanted, stocks_in(counted.coop), {})
    assert need.lacking == 14


def test_each_says_what_the_others_want(counted):
    first, middle, last = (planned(counted, 8, days) for days in (3, 2, 1))
    assert [quarts(plan).others_said for plan in (first, middle, last)] == [
        "later plans want 16",
        "other plans want 16, 8 of them before this one",
        "earlier plans want 16 first",
    ]


def test_plans_of_the_same_moment_are_in_the_order_of_writing(counted):
    first, second = planned(counted, 8, 1), planned(counted, 8, 1)
    assert (quarts(first).lacking, quarts(second).lacking) == (0, 6)


def test_lids_and_bands_are_claimed_once_too(household):
    make_count(household, {QUARTS: (0, 99, 0)}, lids={"regular": (12, 99)})
    planned(household, 8, 2)
    plan = planned(household, 8, 1)
    shortage = shortage_of(sheet_of(plan), stock_of(household), NOW)
    assert [(need.said, need.lacking) for need in shortage.needs if need.lacking] == [
        ("new lids, regular mouth", 4)
    ]


def test_other_kinds_other_households_and_what_is_over_claim_nothing(
    counted, other_household, coop
):
    planned(counted, 8, 5, mouth="wide")
    planned(other_household, 8, 5)
    make_outcome(make_use(make_plan(counted, at=NOW - timedelta(days=5)), jars=8), tenths=300)
    make_use(make_plan(counted, at=NOW - timedelta(days=5), dropped_at=NOW), jars=8)
    need = quarts(planned(counted, 8, 1))
    assert (need.lacking, need.others_said) == (0, "")


def test_jars_that_went_in_are_wanted_no_more(counted):
    plan = planned(counted, 12, 1)
    make_lot(counted, 7, use=plan.uses.get())
    need = quarts(plan)
    assert (need.wanted, need.there, need.lacking) == (Wanted(5, 5), 3, 2)
    make_lot(counted, 5, use=plan.uses.get())
    assert shortage_of(sheet_of(plan), stock_of(counted), NOW) is None


def test_jars_processed_again_did_not_go_in_twice(counted):
    plan = planned(counted, 12, 1)
    first, again = (make_lot(counted, jars, use=plan.uses.get(), sealed=5) for jars in (7, 5))
    make_fate(first, "reprocessed", 2, new_lot=again)
    assert quarts(plan).wanted == Wanted(5, 5)


def test_enough_for_the_likely_number_is_not_enough_to_be_sure(counted, page, as_member, coop):
    # 31.5 lb of ears make 7 quarts on the average, a bushel of 35 lb 6 to 11 (USDA guide 4).
    plan = make_plan(counted)
    make_use(plan, 315)
    make_count(counted, {QUARTS: (0, 8, 0)}, lids=LIDS)
    rows = page(plan)
    assert rows["Quart, regular mouth, empty"] == [
        "7",
        "9",
        "8",
        "enough for the likely 7; 1 short of 9",
    ]
    assert rows["New lids, regular mouth"] == ["7", "9", "200", "none"]
    text = text_of(as_member.get(f"/{coop.slug}/plans/{plan.pk}/"))
    assert "You have enough for the likely jars short to be sure" in text


def test_the_tick_is_there_when_the_high_figure_is_covered(counted, page, as_member, coop):
    plan = make_plan(counted)
    make_use(plan, 315)
    assert page(plan)["Quart, regular mouth, empty"] == ["7", "9", "10", "none"]
    text = text_of(as_member.get(f"/{coop.slug}/plans/{plan.pk}/"))
    assert "You have the jars, lids and bands there" in text


def test_what_is_lacking_says_how_many_to_be_sure(counted, page):
    plan = make_plan(counted)
    make_use(plan, 315)
    make_count(counted, {QUARTS: (0, 4, 0)}, lids=LIDS)
    likely, sure, there, lacking = page(plan)["Quart, regular mouth, empty"]
    assert (likely, sure, there) == ("7", "9", "4")
    assert lacking.startswith("3 (5 to be sure) Who has some")


def test_the_highest_of_earlier_plans_comes_off_first_to_be_sure(counted):
    earlier = make_plan(counted, at=NOW - timedelta(days=2))
    make_use(earlier, 315)
    make_count(counted, {QUARTS: (0, 12, 0)}, lids=LIDS)
    need = quarts(planned(counted, 5, 1))
    assert (need.lacking, need.short) == (0, 2)  # 12 less 7, and 12 less 9


@pytest.mark.sqlite  # as many queries on any database
def test_a_plan_asks_as_often_beside_many_others(counted, django_assert_num_queries):
    plan = planned(counted, 8, 1)
    planned(counted, 8, 2)
    sheet, stock = sheet_of(plan), stock_of(counted)
    with CaptureQueriesContext(connection) as few:
        shortage_of(sheet, stock, NOW)
    for days in range(3, 7):
        planned(counted, 2, days)
    with django_assert_num_queries(len(few)):
        shortage_of(sheet, stock, NOW)
