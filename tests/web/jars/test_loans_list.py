"""The list of loans: what the household has to do first, then the others', and what is over."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.jars.models import JarMove
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

QUARTS, PINTS = "quart_wide", "pint_wide"


@pytest.fixture
def look(coop, as_member):
    def page(query=""):
        return as_member.get(reverse("jars:loans", args=[coop.slug]) + query)

    return page


def titles(response):
    return [" ".join(title.get_text().split()) for title in main_of(response).select(".row-title")]


@pytest.mark.sqlite  # about the page alone
def test_with_no_loan_it_says_what_it_is_for(look, member):
    assert "You lend and borrow no jars" in sections_of(look())


def test_the_overdue_stand_first_then_what_is_to_be_done(look, household, other_household, member):
    pair, back = (household, other_household), (other_household, household)
    rows.make_loan(*back, {QUARTS: 1})
    rows.make_loan(*pair, {QUARTS: 2}, handed_over=True)
    rows.make_loan(*back, {QUARTS: 3}, agreed=True)
    rows.make_loan(*pair, {QUARTS: 4})
    rows.make_loan(*back, {QUARTS: 5}, handed_over=True, due_on=date(2026, 8, 10))
    assert titles(look()) == [
        "5 quarts, wide mouth overdue",
        "4 quarts, wide mouth waits for your answer",
        "3 quarts, wide mouth to hand over",
        "2 quarts, wide mouth out",
        "1 quart, wide mouth not answered yet",
    ]


@pytest.mark.sqlite  # about the page alone
def test_it_says_whose_and_until_when(look, household, other_household, member):
    rows.make_loan(other_household, household, {QUARTS: 5}, handed_over=True)
    assert "Of Dufresne, for you; due back Thu 10 Sep." in sections_of(look())["Yours"]


@pytest.mark.sqlite  # about the page alone
def test_loans_of_others_stand_under_ones_own(look, coordinator, other_household, member):
    rows.make_loan(other_household, coordinator.household, {QUARTS: 5}, handed_over=True)
    found = sections_of(look())
    assert "Of Dufresne, for Adeyemi" in found["Between other households"]
    assert "Yours" not in found


def test_what_is_out_is_said_not_what_was_agreed(look, household, other_household, member):
    loan = rows.make_loan(other_household, household, {QUARTS: 9, PINTS: 4}, handed_over=True)
    rows.make_move(loan, QUARTS, 7, what=JarMove.What.RETURNED)
    rows.make_move(loan, PINTS, 3, what=JarMove.What.BROKEN)
    assert titles(look()) == ["1 pint, wide mouth, and 2 quarts, wide mouth out"]


@pytest.mark.sqlite  # about the page alone
def test_what_is_back_is_over(look, household, other_household, member):
    rows.make_loan(other_household, household, {QUARTS: 9}, returned=9)
    assert "You lend and borrow no jars" in sections_of(look())
    assert titles(look("?past=1")) == ["9 quarts, wide mouth nothing out"]


@pytest.mark.sqlite  # about the page alone
def test_what_was_ended_is_over(look, household, other_household, member):
    rows.make_loan(other_household, household, {QUARTS: 9}, ended_at=factories.NOW, ended_by=member)
    assert titles(look("?past=1")) == ["9 quarts, wide mouth no jars moved"]


def test_a_part_given_back_after_the_end_of_the_rest_is_over(
    look, household, other_household, member
):
    loan = rows.make_loan(
        other_household,
        household,
        {QUARTS: 9},
        agreed=True,
        ended_at=factories.NOW,
        ended_by=member,
    )
    rows.make_move(loan, QUARTS, 4)
    assert titles(look()) == ["4 quarts, wide mouth out"]
    rows.make_move(loan, QUARTS, 4, what=JarMove.What.RETURNED)
    assert "You lend and borrow no jars" in sections_of(look())


def test_a_kind_that_was_never_handed_over_keeps_a_loan_open(
    look, household, other_household, member
):
    loan = rows.make_loan(other_household, household, {QUARTS: 9, PINTS: 4}, agreed=True)
    rows.make_move(loan, QUARTS, 9)
    rows.make_move(loan, QUARTS, 9, what=JarMove.What.RETURNED)
    assert titles(look()) == ["4 pints, wide mouth to hand over"]


def test_what_is_over_comes_by_the_page(look, household, other_household, member):
    for count in range(1, 23):
        rows.make_loan(other_household, household, {QUARTS: count}, returned=count)
    assert len(titles(look("?past=1"))) == 20
    assert len(titles(look("?past=1&page=2"))) == 2


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_loans_are_not_in_it(look, member):
    theirs = rows.make_loan(factories.make_household(), None, {QUARTS: 77}, handed_over=True)
    assert theirs.coop != member.coop
    assert "77" not in text_of(look()) + text_of(look("?past=1"))


@pytest.mark.sqlite  # as many queries on any database
@pytest.mark.parametrize("query", ("", "?past=1"))
def test_twice_the_loans_ask_the_database_as_often(
    look, household, other_household, coordinator, member, query
):
    def add():
        for count in range(1, 4):
            rows.make_loan(other_household, household, {QUARTS: count, PINTS: 1}, returned=1)
            rows.make_loan(other_household, coordinator.household, {QUARTS: count}, agreed=True)
            rows.make_loan(household, other_household, {QUARTS: count}, returned=count)

    asked = []
    for _ in range(2):
        add()
        with CaptureQueriesContext(connection) as queries:
            response = look(query)
        asked.append((len(titles(response)), len(queries)))
    (rows_before, before), (rows_after, after) = asked
    assert rows_after == 2 * rows_before > 0
    assert after == before
