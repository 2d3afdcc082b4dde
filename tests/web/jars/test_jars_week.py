"""This week tells what loans want of a household; and nobody leaves with jars out."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.jars.leaving import open_jars
from coop.jars.queries.week import part
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import sections_of

QUARTS = "quart_wide"
DUE = "Due from you"


@pytest.fixture
def look(sign_in):
    """The text of somebody's This week, by section."""

    def text(member):
        return sections_of(sign_in(member).get(f"/{member.coop.slug}/"))

    return text


@pytest.fixture
def lender(other_household, other_household_member):
    rows.make_count(other_household, {QUARTS: (0, 30, 24)})
    return other_household


@pytest.mark.sqlite  # about the page alone
def test_an_ask_waits_for_the_lender(look, lender, household, member, other_household_member):
    rows.make_count(household)
    rows.make_loan(lender, household, {QUARTS: 5})
    assert "Castell asks for 5 quarts, wide mouth" in look(other_household_member)[DUE]
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_an_offer_waits_for_the_borrower(look, lender, household, member, other_household_member):
    rows.make_loan(lender, household, {QUARTS: 5}, started="offered")
    assert "Dufresne offers 5 quarts, wide mouth" in look(member)[DUE]
    assert DUE not in look(other_household_member)


def test_what_is_agreed_is_handed_over_by_one_and_fetched_by_the_other(
    look, lender, household, member, other_household_member
):
    rows.make_loan(lender, household, {QUARTS: 5}, agreed=True)
    assert "Hand over 5 quarts, wide mouth For Castell" in look(other_household_member)[DUE]
    assert "Fetch 5 quarts, wide mouth Dufresne keeps them for you" in look(member)[DUE]


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("due_on", "said"),
    (
        (date(2026, 8, 10), "overdue Due since yesterday."),
        (date(2026, 8, 11), "today Due back today."),
        (date(2026, 8, 18), "Due back Tue 18 Aug."),
    ),
)
def test_jars_are_due_back_within_a_week(
    look, lender, household, member, other_household_member, due_on, said
):
    rows.make_loan(lender, household, {QUARTS: 5}, handed_over=True, due_on=due_on)
    due = look(member)[DUE]
    assert "Give Dufresne back 5 quarts, wide mouth" in due
    assert said in due
    assert "5 quarts, wide mouth, back from Castell" in look(other_household_member)[DUE]


def test_jars_due_back_later_are_not_told_yet(look, lender, household, member):
    due_on = date(2026, 8, 19)
    rows.make_loan(lender, household, {QUARTS: 5}, handed_over=True, due_on=due_on)
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_jars_that_are_back_are_not_told(look, lender, household, member):
    rows.make_loan(lender, household, {QUARTS: 5}, returned=5, due_on=date(2026, 8, 10))
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_other_households_read_nothing_of_it(look, lender, household, treasurer):
    rows.make_loan(lender, household, {QUARTS: 5}, handed_over=True, due_on=date(2026, 8, 10))
    assert DUE not in look(treasurer)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(("days", "is_told"), ((180, False), (181, True), (None, True)))
def test_a_count_of_half_a_year_is_told_where_jars_are_lent(
    look, lender, coordinator, household, member, days, is_told
):
    rows.make_loan(lender, coordinator.household, {QUARTS: 5})
    if days:
        rows.make_count(household, at=factories.NOW - timedelta(days=days))
    assert ("Your jars" in look(member)) == is_told


@pytest.mark.sqlite  # about the page alone
def test_where_no_jars_are_lent_nobody_is_told_to_count(look, member):
    assert "Your jars" not in look(member)


@pytest.mark.sqlite  # as many queries on any database
def test_twice_the_loans_ask_the_database_as_often(lender, household, member):
    asked = []
    for _ in range(2):
        for count in range(1, 4):
            rows.make_loan(lender, household, {QUARTS: count}, handed_over=True)
            rows.make_loan(lender, household, {QUARTS: count}, agreed=True)
            rows.make_loan(household, lender, {QUARTS: count})
        with CaptureQueriesContext(connection) as queries:
            week = part(member, factories.NOW)
        asked.append((len(week.due), len(queries)))
    assert asked == [(6, 5), (12, 5)]


# ---- Leaving --------------------------------------------------------------------------------
def test_neither_side_leaves_with_jars_out(lender, household, member):
    rows.make_loan(lender, household, {QUARTS: 5}, handed_over=True)
    said = [
        " ".join(open_jars(each)).replace("\N{NO-BREAK SPACE}", " ") for each in (lender, household)
    ]
    assert said[0].startswith("Castell still has its 5 quarts, wide mouth:")
    assert said[1].startswith("It still has Dufresne's 5 quarts, wide mouth:")


def test_neither_side_leaves_with_jars_promised(lender, household, member):
    rows.make_loan(lender, household, {QUARTS: 5}, agreed=True)
    assert len(open_jars(lender)) == len(open_jars(household)) == 1


def test_an_ask_or_a_loan_that_is_over_keeps_nobody(lender, household, member):
    rows.make_loan(lender, household, {QUARTS: 5})
    rows.make_loan(lender, household, {QUARTS: 5}, returned=5)
    assert open_jars(lender) == open_jars(household) == []


@pytest.mark.sqlite  # about the page alone
def test_who_would_leave_reads_why_not(coop, lender, household, member, coordinator, as_member):
    rows.make_loan(lender, household, {QUARTS: 5}, handed_over=True)
    answer = as_member.post(f"/{coop.slug}/households/{household.pk}/end/")
    assert "It still has Dufresne" in answer.content.decode()
    household.refresh_from_db()
    assert household.left_at is None
