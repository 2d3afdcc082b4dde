"""What a household has now: its newest count, and what loans have moved since."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.jars.models import JarMove
from coop.jars.queries.stock import Age, Held, Stock, age_of, stock_of, stocks_in
from coop.people.models import Coop, Household, Member
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import QUARTS, make_count, make_loan

pytestmark = pytest.mark.django_db
What = JarMove.What
PINTS = "pint_wide"


@pytest.fixture
def lender(household: Household, member: Member) -> Household:
    make_count(household, {QUARTS: (10, 24, 12)}, at=NOW - timedelta(days=10))
    return household


@pytest.fixture
def borrower(other_household: Household, other_household_member: Member) -> Household:
    make_count(other_household, {QUARTS: (0, 3, 1)}, at=NOW - timedelta(days=10))
    return other_household


def lend(lender: Household, borrower: Household, count: int = 8, **fields: Any) -> Any:
    """An agreed loan of quarts, nothing handed over."""
    fields.setdefault("agreed_at", NOW - timedelta(days=5))
    return make_loan(lender, borrower, {QUARTS: count}, **fields)


def move(loan: Any, what: What, count: int, *, days_ago: int = 3) -> None:
    JarMove.objects.create(
        loan=loan,
        kind=QUARTS,
        what=what,
        count=count,
        at=NOW - timedelta(days=days_ago),
        by=loan.by,
    )


def quarts(household: Household) -> Held:
    return stock_of(household).kinds[QUARTS]


def test_the_newest_count_is_what_a_household_has(lender: Household) -> None:
    make_count(lender, {PINTS: (1, 9, 0)}, at=NOW - timedelta(days=1), lids={"wide": (24, 30)})
    stock = stock_of(lender)
    assert dict(stock.kinds) == {PINTS: Held(1, 9, 0)}
    assert (stock.lids["wide"].lids, stock.lids["wide"].bands) == (24, 30)
    assert stock.counted_at == NOW - timedelta(days=1)


def test_a_household_that_never_counted_has_nothing(other_household: Household) -> None:
    stock = stock_of(other_household)
    assert (stock.counted_at, dict(stock.kinds), dict(stock.lids)) == (None, {}, {})


def test_what_was_only_asked_for_changes_nothing(lender: Household, borrower: Household) -> None:
    lend(lender, borrower, agreed_at=None)
    assert (quarts(lender), quarts(borrower)) == (Held(10, 24, 12), Held(0, 3, 1))


def test_what_was_agreed_is_not_spare_any_more(lender: Household, borrower: Household) -> None:
    lend(lender, borrower)
    assert (quarts(lender), quarts(borrower)) == (Held(10, 24, 4), Held(0, 3, 1))
    assert stock_of(lender).promised == {QUARTS: 8}


def test_what_was_agreed_and_ended_is_spare_again(lender: Household, borrower: Household) -> None:
    lend(lender, borrower, ended_at=NOW - timedelta(days=1))
    assert quarts(lender) == Held(10, 24, 12)


def test_what_is_handed_over_leaves_the_lender(lender: Household, borrower: Household) -> None:
    move(lend(lender, borrower), What.HANDED_OVER, 8)
    assert (quarts(lender), quarts(borrower)) == (Held(10, 16, 4), Held(0, 11, 1))


def test_part_handed_over_keeps_the_rest_promised(lender: Household, borrower: Household) -> None:
    move(lend(lender, borrower), What.HANDED_OVER, 5)
    assert (quarts(lender), quarts(borrower)) == (Held(10, 19, 4), Held(0, 8, 1))


def test_a_loan_that_is_being_returned_promises_no_more(
    lender: Household, borrower: Household
) -> None:
    loan = lend(lender, borrower)
    move(loan, What.HANDED_OVER, 5)
    move(loan, What.RETURNED, 5, days_ago=1)
    assert (quarts(lender), quarts(borrower)) == (Held(10, 24, 12), Held(0, 3, 1))


@pytest.mark.parametrize(
    ("what", "lent", "borrowed"),
    [
        (What.RETURNED, Held(10, 22, 10), Held(0, 5, 1)),
        (What.BROKEN, Held(10, 16, 4), Held(0, 5, 1)),
        (What.KEPT, Held(10, 16, 4), Held(0, 11, 1)),
    ],
)
def test_how_lent_jars_end(
    lender: Household, borrower: Household, what: What, lent: Held, borrowed: Held
) -> None:
    loan = lend(lender, borrower)
    move(loan, What.HANDED_OVER, 8)
    move(loan, what, 6, days_ago=1)
    assert (quarts(lender), quarts(borrower)) == (lent, borrowed)


def test_what_moved_before_the_count_is_in_it_already(
    lender: Household, borrower: Household
) -> None:
    loan = lend(lender, borrower)
    move(loan, What.HANDED_OVER, 8, days_ago=3)
    make_count(lender, {QUARTS: (10, 16, 4)}, at=NOW - timedelta(days=2))
    assert quarts(lender) == Held(10, 16, 4)
    move(loan, What.RETURNED, 8, days_ago=1)
    assert quarts(lender) == Held(10, 24, 12)


def test_nothing_goes_below_zero(lender: Household, borrower: Household) -> None:
    move(lend(lender, borrower, count=40), What.HANDED_OVER, 40)
    assert quarts(lender) == Held(10, 0, 0)


def test_who_borrows_without_a_count_has_what_was_handed_over(
    lender: Household, coop: Coop
) -> None:
    newcomer = factories.make_household(coop)
    factories.make_member(newcomer)
    move(lend(lender, newcomer), What.HANDED_OVER, 8)
    stock = stock_of(newcomer)
    assert (stock.counted_at, dict(stock.kinds)) == (None, {QUARTS: Held(0, 8, 0)})


def test_stocks_of_a_co_op_are_those_of_its_households_and_no_other(
    lender: Household, borrower: Household, outsider: Member
) -> None:
    make_count(outsider.household)
    factories.make_household(lender.coop, "Gone", left_at=NOW)
    move(lend(lender, borrower), What.HANDED_OVER, 8)
    stocks = stocks_in(lender.coop)
    assert {key: dict(stock.kinds) for key, stock in stocks.items()} == {
        lender.pk: {QUARTS: Held(10, 16, 4)},
        borrower.pk: {QUARTS: Held(0, 11, 1)},
    }


@pytest.mark.sqlite  # as many queries on any database
def test_stocks_ask_the_database_as_often_for_many_as_for_two(
    lender: Household, borrower: Household, django_assert_num_queries: Any
) -> None:
    move(lend(lender, borrower), What.HANDED_OVER, 8)
    with CaptureQueriesContext(connection) as few:
        assert len(stocks_in(lender.coop)) == 2
    for _ in range(6):
        household = factories.make_household(lender.coop)
        make_count(household, lids={"wide": (1, 1)})
        move(lend(household, borrower), What.HANDED_OVER, 2)
    with django_assert_num_queries(len(few)):
        assert len(stocks_in(lender.coop)) == 8


@pytest.mark.parametrize(
    ("days", "age"),
    [(60, Age.FRESH), (61, Age.OLD), (180, Age.OLD), (181, Age.VERY_OLD), (None, Age.VERY_OLD)],
)
def test_how_old_a_count_is(household: Household, days: int | None, age: Age) -> None:
    counted_at = None if days is None else NOW - timedelta(days=days)
    assert age_of(Stock(household, counted_at), NOW) == age
