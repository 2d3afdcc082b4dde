"""Loans are told to the side that has to do something: answered, fetched, given back, late."""

from datetime import UTC, date, datetime, timedelta

import pytest

from coop.jars.actions.loans import Proposal, agree, ask_for_jars, end_loan, offer_jars
from coop.jars.actions.moves import Told, hand_over, let_keep, take_back, write_broken
from coop.notices.models import Matter, Notice
from coop.notices.sources import put_right
from coop.people.actions.coops import Settings, change_settings
from coop.people.actions.households import Details, edit_household
from tests.web import kitchen_factories as rows
from tests.web.factories import NOW
from tests.web.notices.postman import post

QUARTS, PINTS = "quart_wide", "pint_wide"
DUE = date(2026, 9, 10)  # a Thursday, thirty days from the clock of the tests
NINE = datetime(2026, 9, 10, 15, tzinfo=UTC)  # of that day, in Denver
FIVE = {QUARTS: 5}


@pytest.fixture
def lender(other_household, other_household_member):
    rows.make_count(other_household, {QUARTS: (0, 30, 24), PINTS: (0, 12, 12)})
    return other_household


@pytest.fixture
def owner(lender, other_household_member):
    """Who speaks for the lender."""
    return other_household_member


@pytest.fixture
def asked(lender, household, member):
    return ask_for_jars(lender, household, Proposal(FIVE, DUE, "For the corn"), by=member)


@pytest.fixture
def out(asked, owner):
    """Agreed to and handed over; nobody was told of what came before."""
    agree(asked.pk, by=owner)
    hand_over(asked.pk, Told(FIVE), by=owner)
    return asked


def letters():
    """Who was told what: the subject and the first line of every letter."""
    return {letter.to[0]: (letter.subject, letter.body.splitlines()[0]) for letter in post()}


def told(member):
    """When the member will be told what of the loan."""
    ahead = Notice.objects.filter(member=member, matter__dropped_at=None)
    return list(ahead.order_by("due_at").values_list("matter__kind", "due_at"))


# ---- Asked and answered ---------------------------------------------------------------------
def test_an_ask_is_told_to_who_has_the_jars(asked, owner):
    said = ("Castell asks for 5 quarts, wide mouth", "Say yes or no to Castell.")
    assert letters() == {owner.user.email: said}


def test_an_offer_is_told_to_who_needs_them(lender, household, member, owner):
    offer_jars(lender, household, Proposal(FIVE, DUE), by=owner)
    said = ("Dufresne offers you 5 quarts, wide mouth", "Say yes or no to Dufresne.")
    assert letters() == {member.user.email: said}


def test_a_yes_is_told_to_who_asked_and_the_ask_is_told_no_more(asked, member, owner):
    agree(asked.pk, by=owner)
    said = (
        "Dufresne lends you 5 quarts, wide mouth",
        "Fetch them from Dufresne: 5 quarts, wide mouth.",
    )
    assert letters() == {member.user.email: said}


def test_a_yes_on_a_households_behalf_is_told_to_both(asked, member, owner, coordinator):
    agree(asked.pk, by=coordinator)
    said = letters()
    assert set(said) == {member.user.email, owner.user.email}
    assert said[owner.user.email][1] == "Hand them over to Castell: 5 quarts, wide mouth."


@pytest.mark.parametrize(
    ("who", "whom", "subject"),
    (
        ("owner", "member", "Dufresne said no: 5 quarts, wide mouth"),
        ("member", "owner", "Castell took the ask back: 5 quarts, wide mouth"),
    ),
)
def test_a_no_is_told_to_the_other_side(request, asked, who, whom, subject):
    post()
    end_loan(asked.pk, by=request.getfixturevalue(who))
    assert [letter.subject for letter in post()] == [subject]
    assert {row.member for row in Notice.objects.filter(matter__dropped_at=None)} == {
        request.getfixturevalue(whom)
    }


def test_the_same_ask_sent_twice_is_told_once(asked, lender, household, member):
    ask_for_jars(lender, household, Proposal(FIVE, DUE, "For the corn"), by=member)
    assert len(post()) == 1


# ---- Given back -----------------------------------------------------------------------------
def test_jars_that_are_out_are_told_a_week_before_and_on_the_day(out, member, clock):
    clock.move_to(NINE - timedelta(days=7))
    said = (
        "5 quarts, wide mouth: due back to Dufresne on Thu 10 Sep",
        "Give Dufresne back 5 quarts, wide mouth, by Thu 10 Sep.",
    )
    assert letters() == {member.user.email: said}
    clock.move_to(NINE)
    assert letters() == {member.user.email: said}


def test_jars_that_are_late_are_told_after_one_week_and_after_four(out, member, clock):
    clock.move_to(NINE)
    post()
    clock.move_to(NINE + timedelta(days=7))
    subject, first = letters()[member.user.email]
    assert subject == "5 quarts, wide mouth: were due back to Dufresne on Thu 10 Sep"
    assert first == "Give Dufresne back 5 quarts, wide mouth."
    clock.move_to(NINE + timedelta(days=28))
    assert len(post()) == 1


def test_what_is_back_broken_or_kept_is_told_no_more(out, member, owner, clock):
    take_back(out.pk, Told({QUARTS: 2}), by=owner)
    write_broken(out.pk, Told({QUARTS: 1}), by=member)
    clock.move_to(NINE - timedelta(days=7))
    assert "2 quarts, wide mouth:" in letters()[member.user.email][0]
    let_keep(out.pk, Told({QUARTS: 2}), by=owner)
    assert not Matter.objects.filter(kind__in=["jars_due", "jars_late"], dropped_at=None).exists()
    clock.move_to(NINE + timedelta(days=7))
    assert post() == []


def test_nobody_else_is_told(out, owner, coordinator, treasurer):
    assert [told(each) for each in (owner, coordinator, treasurer)] == [[], [], []]


def test_by_other_clocks_it_is_nine_in_the_morning_too(coop, out, member, coordinator):
    kept = {name: getattr(coop, name) for name in Settings.__dataclass_fields__}
    change_settings(Settings(**kept | {"time_zone": "America/New_York"}), by=coordinator)
    assert ("jars_due", NINE - timedelta(hours=2)) in told(member)
    assert put_right(coop) == {}


# ---- All together ---------------------------------------------------------------------------
def test_after_a_long_story_there_is_nothing_to_put_right(
    coop, asked, lender, household, member, owner, coordinator, clock
):
    assert put_right(coop) == {}
    agree(asked.pk, by=owner)
    hand_over(asked.pk, Told({QUARTS: 3}), by=owner)
    assert put_right(coop) == {}
    edit_household(lender.pk, Details("Dufresne-Roy"), by=owner)
    end_loan(asked.pk, by=owner)
    assert put_right(coop) == {}
    declined = ask_for_jars(lender, household, Proposal({PINTS: 2}, DUE), by=member)
    end_loan(declined.pk, by=coordinator)
    offer_jars(lender, household, Proposal({PINTS: 3}, DUE), by=owner)
    clock.move_to(NOW + timedelta(days=40))
    post()
    take_back(asked.pk, Told({QUARTS: 2}), by=owner)
    assert put_right(coop) == {}
    let_keep(asked.pk, Told({QUARTS: 1}), by=owner)
    assert put_right(coop) == {}
    titles = Matter.objects.filter(dropped_at=None).values_list("title", flat=True)
    assert any(title.startswith("Dufresne-Roy offers you 3 pints") for title in titles)
