"""Jars that are put up, eaten, given away or did not seal change what a household should have."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.jars.queries.stock import Held, HeldLids, stock_of, stocks_in
from coop.kitchen.models import Fate, Taken, Way
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import (
    QUARTS,
    make_count,
    make_fate,
    make_load,
    make_loan,
    make_lot,
    make_taken,
)
from tests.web.reading import text_of

HOUR = timedelta(hours=1)


@pytest.fixture
def counted(household):
    """Counted two days ago: 3 full quarts, 20 empty, 8 of them spare; 24 lids and 30 bands."""
    make_count(
        household,
        {QUARTS: (3, 20, 8)},
        at=NOW - timedelta(days=2),
        lids={"regular": (24, 30), "wide": (12, 12)},
    )
    return household


def quarts(household):
    return stock_of(household).kinds[QUARTS]


def lids(household):
    return stock_of(household).lids["regular"]


def test_jars_in_the_canner_are_neither_empty_nor_full(counted):
    make_lot(counted, 7)
    assert quarts(counted) == Held(3, 13, 8)
    assert lids(counted) == HeldLids(17, 30)  # bands come off and are used again


def test_jars_counted_out_are_full_and_broken_ones_are_not(counted):
    make_lot(counted, 7, counted_out=6)
    assert quarts(counted) == Held(9, 13, 8)


def test_spare_jars_are_never_more_than_the_empty_ones(counted):
    make_lot(counted, 14, counted_out=14)
    assert quarts(counted) == Held(17, 6, 6)


def test_size_and_mouth_make_the_kind_and_the_lids(counted):
    make_lot(counted, 5, jar="half_pint", mouth="wide", sealed=5)
    stock = stock_of(counted)
    assert dict(stock.kinds) == {QUARTS: Held(3, 20, 8), "half_pint_wide": Held(5, 0, 0)}
    assert (stock.lids["regular"].lids, stock.lids["wide"].lids) == (24, 7)


@pytest.mark.parametrize("what", [Taken.What.USED, Taken.What.THROWN_OUT])
def test_a_jar_from_the_shelf_is_empty_again(counted, what):
    make_taken(make_lot(counted, 7, sealed=7), 2, what=what)
    assert quarts(counted) == Held(8, 15, 8)
    assert lids(counted).lids == 17  # a lid seals once


def test_a_jar_given_away_is_full_in_the_other_household(counted, other_household):
    make_count(other_household, {}, at=NOW - timedelta(days=2))
    make_taken(make_lot(counted, 7, sealed=7), 3, given_to=other_household)
    assert quarts(counted) == Held(7, 13, 8)
    assert quarts(other_household) == Held(3, 0, 0)


def test_what_was_undone_never_left_the_shelf(counted):
    make_taken(make_lot(counted, 7, sealed=7), 2, undone_at=NOW)
    assert quarts(counted) == Held(10, 13, 8)


@pytest.mark.parametrize("what", [Fate.What.FRIDGE, Fate.What.FREEZER, Fate.What.THROWN_OUT])
def test_a_jar_that_did_not_seal_is_empty_again(counted, what):
    make_fate(make_lot(counted, 7, sealed=5), what, 2)
    assert quarts(counted) == Held(8, 15, 8)


def test_a_jar_to_be_processed_again_stays_full(counted):
    make_fate(make_lot(counted, 7, sealed=5), Fate.What.REPROCESSED, 2)
    assert quarts(counted) == Held(10, 13, 8)


def test_a_jar_processed_again_takes_only_a_new_lid(counted):
    first = make_lot(counted, 7, sealed=5)
    again = make_lot(counted, 2, sealed=2, load=make_load(counted.coop, ended_at=NOW - HOUR))
    make_fate(first, Fate.What.REPROCESSED, 2, new_lot=again)
    assert quarts(counted) == Held(10, 13, 8)
    assert lids(counted).lids == 24 - 7 - 2


def test_what_is_frozen_or_dried_takes_no_jar(counted):
    make_taken(make_lot(counted, 7, way=Way.FREEZE), 2)
    make_lot(counted, 4, way=Way.DRY)
    assert quarts(counted) == Held(3, 20, 8)


def test_a_count_taken_after_has_all_of_it_already(counted, other_household):
    make_count(other_household, {QUARTS: (2, 0, 0)}, at=NOW)
    lot = make_lot(counted, 7, sealed=6)
    make_taken(lot, 2, at=NOW - 2 * HOUR)
    make_taken(lot, 1, at=NOW - 2 * HOUR, given_to=other_household)
    make_fate(lot, Fate.What.FRIDGE, 1, at=NOW - 2 * HOUR)
    make_count(counted, {QUARTS: (4, 15, 9)}, at=NOW - HOUR, lids={"regular": (10, 30)})
    assert (quarts(counted), lids(counted).lids) == (Held(4, 15, 9), 10)
    assert quarts(other_household) == Held(2, 0, 0)
    make_taken(lot, 1)
    assert quarts(counted) == Held(3, 16, 9)


def test_jars_bought_to_fill_a_load_never_leave_less_than_none(counted):
    # 20 were counted and 24 filled: four were bought. Eaten, they are empty jars like the others.
    make_taken(make_lot(counted, 24, sealed=24), 10)
    assert quarts(counted) == Held(17, 10, 8)
    assert lids(counted).lids == 0


def test_borrowed_jars_are_filled_emptied_and_given_back(counted, other_household):
    make_count(counted, {QUARTS: (0, 0, 0)}, at=NOW - timedelta(days=2))
    make_loan(other_household, counted, {QUARTS: 7}, handed_over=True, returned=7)
    ended_at = NOW - 20 * HOUR  # handed over a day ago, given back now
    make_taken(make_lot(counted, 7, sealed=7, load=make_load(counted.coop, ended_at=ended_at)), 7,
               at=NOW - HOUR)  # fmt: skip
    assert quarts(counted) == Held(0, 0, 0)


def test_another_co_op_has_nothing_to_do_with_it(counted, outsider):
    make_taken(make_lot(outsider.household, 7, sealed=7), 2)
    assert quarts(counted) == Held(3, 20, 8)
    assert list(stocks_in(counted.coop)) == [counted.pk]


@pytest.mark.sqlite  # as many queries on any database
def test_stocks_ask_as_often_for_many_lots_as_for_one(counted, django_assert_num_queries):
    make_fate(make_taken(make_lot(counted, 7, sealed=6), 1).lot)
    with CaptureQueriesContext(connection) as few:
        stocks_in(counted.coop)
    for _ in range(4):
        other = factories.make_household(counted.coop)
        make_fate(make_taken(make_lot(other, 7, sealed=6), 1, given_to=counted).lot)
    with django_assert_num_queries(len(few)):
        stocks_in(counted.coop)


@pytest.mark.parametrize("page", ["jars:count", "jars:jars"])
def test_the_pages_say_what_is_reckoned_in(as_member, counted, coop, page):
    text = text_of(as_member.get(reverse(page, args=[coop.slug])))
    assert "Since then loans, jars put up and jars taken from the shelf are reckoned in" in text
