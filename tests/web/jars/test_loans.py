"""Loans begin with an ask or an offer, and the other side's yes promises what can be spared."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coop.jars.models import Loan
from coop.jars.queries.stock import stock_of
from coop.people.models import Change
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, text_of

QUARTS, PINTS = "quart_wide", "pint_wide"
DUE = "2026-10-01"


@pytest.fixture
def lender(other_household, other_household_member):
    """Can spare 24 quarts and 12 pints."""
    rows.make_count(other_household, {QUARTS: (0, 30, 24), PINTS: (3, 12, 12)})
    return other_household


@pytest.fixture
def ask(coop, lender, as_member):
    def sent(client=as_member, household=lender, query="", **typed):
        page = reverse("jars:borrow", args=[coop.slug, household.pk]) + query
        return client.post(page, {"due_on": DUE, **typed})

    return sent


@pytest.fixture
def offer(coop, household, lender, as_other_household_member):
    def sent(client=as_other_household_member, borrower=household, query="", **typed):
        page = reverse("jars:offer", args=[coop.slug, borrower.pk]) + query
        return client.post(page, {"due_on": DUE, **typed})

    return sent


@pytest.fixture
def post(coop):
    def sent(client, act, loan):
        return client.post(reverse(f"jars:{act}", args=[coop.slug, loan.pk]))

    return sent


@pytest.fixture
def asked(lender, household, member):
    """18 quarts that the member's household asked for."""
    return rows.make_loan(lender, household, {QUARTS: 18})


def spare(household, kind=QUARTS):
    return stock_of(household).kinds[kind].spare


# ---- Asking and offering --------------------------------------------------------------------
def test_a_member_asks_for_jars_of_several_kinds(ask, lender, household, member):
    answer = ask(**{QUARTS: "18", PINTS: "6", "message": "For the corn"})
    loan = Loan.objects.get()
    assert answer.status_code == 302
    assert (loan.lender, loan.borrower, loan.by) == (lender, household, member)
    assert {line.kind: line.count for line in loan.lines.all()} == {QUARTS: 18, PINTS: 6}
    assert loan.message == "For the corn"


def test_an_ask_reserves_nothing(ask, lender):
    ask(**{QUARTS: "18"})
    assert spare(lender) == 24


def test_a_lender_offers_jars(offer, lender, household):
    assert offer(**{QUARTS: "5"}).status_code == 302
    loan = Loan.objects.get()
    assert (loan.started, loan.lender, loan.borrower) == ("offered", lender, household)
    assert spare(lender) == 24


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        ({QUARTS: "25"}, "Dufresne has 24 quarts, wide mouth, to spare now, not 25."),
        ({"half_pint_wide": "2"}, "Dufresne has no half-pints, wide mouth, to spare now, not 2."),
        ({"jug": "2"}, "Say how many jars"),
        ({}, "Say how many jars"),
        ({QUARTS: "-1"}, "cannot be less than 0"),
        ({QUARTS: "2.5"}, "Whole numbers only"),
        ({QUARTS: "some"}, "Write it in figures"),
        ({QUARTS: "99999999"}, "cannot be more than"),
        ({QUARTS: "2", "due_on": ""}, "Say by which day"),
        ({QUARTS: "2", "due_on": "soon"}, "Write a day"),
        ({QUARTS: "2", "due_on": "2026-08-10"}, "That day has passed"),
        ({QUARTS: "2", "due_on": "2062-08-10"}, "over two years away"),
        ({QUARTS: "2", "message": "x" * 401}, "at most 400 characters"),
    ),
)
def test_what_cannot_be_asked_is_refused_and_stays_typed(ask, typed, sentence):
    answer = ask(**{PINTS: "", "message": "Hello", **typed})
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    if "message" not in typed:
        assert "Hello" in main_of(answer).find("textarea").get_text()
    assert not Loan.objects.exists()


def test_jars_due_back_today_may_be_asked_for(ask):
    # Nine in the morning of the 11th in Denver, where the co-op is.
    assert ask(**{QUARTS: "2", "due_on": "2026-08-11"}).status_code == 302


def test_the_same_ask_sent_twice_is_one(ask):
    first, second = ask(**{QUARTS: "18"}), ask(**{QUARTS: "18"})
    assert first.url == second.url
    assert Loan.objects.count() == 1


def test_another_amount_is_another_ask(ask):
    ask(**{QUARTS: "18"})
    ask(**{QUARTS: "6"})
    assert Loan.objects.count() == 2


def test_nobody_borrows_from_itself(ask, household, as_coordinator, coordinator):
    own = ask(household=household, **{QUARTS: "1"})
    theirs = ask(as_coordinator, coordinator.household, **{QUARTS: "1"})
    assert [own.status_code, theirs.status_code] == [409, 409]
    assert "cannot lend to itself" in text_of(theirs)
    assert not Loan.objects.exists()


def test_a_coordinator_asks_for_a_household_that_phones_in(ask, as_coordinator, household):
    answer = ask(as_coordinator, query=f"?for={household.pk}", **{QUARTS: "2"})
    assert answer.status_code == 302
    assert Loan.objects.get().borrower == household


def test_a_coordinator_chooses_for_whom(coop, coordinator, household, as_coordinator):
    page = reverse("jars:borrow", args=[coop.slug, coordinator.household_id])
    soup = main_of(as_coordinator.get(page))
    options = [option.get_text() for option in soup.find(id="for").find_all("option")]
    assert "Castell" in options
    assert "Adeyemi" not in options


def test_other_members_act_for_their_own_household(ask, as_treasurer, household):
    assert ask(as_treasurer, query=f"?for={household.pk}", **{QUARTS: "2"}).status_code == 403
    assert not Loan.objects.exists()


@pytest.mark.parametrize("named", ("x", "999999", "-1"))
def test_a_household_that_is_not_there_is_404(ask, named, as_coordinator):
    assert ask(as_coordinator, query=f"?for={named}").status_code == 404


def test_who_has_left_lends_nothing(ask, lender):
    lender.left_at = factories.NOW
    lender.save()
    assert ask(**{QUARTS: "2"}).status_code == 409


@pytest.mark.sqlite  # about the page alone
def test_the_form_is_filled_in_from_its_address(coop, lender, as_member):
    page = reverse("jars:borrow", args=[coop.slug, lender.pk])
    query = "?kind=quart_wide&count=18&kind=pint_wide&count=40&kind=jug&count=3&kind=quart_wide"
    soup = main_of(as_member.get(page + query))
    assert soup.find(id="id_quart_wide")["value"] == "18"
    assert soup.find(id="id_pint_wide")["value"] == "12"  # all that there are
    assert "You came for 40 pints, wide mouth" in soup.get_text()
    # 90 days after 11 August, counted on a calendar: 20 in August, 30, 31, and 9 in November.
    assert soup.find(id="id_due_on")["value"] == "2026-11-09"


@pytest.mark.sqlite  # about the page alone
def test_who_can_spare_nothing_says_where_to_look(coop, household, other_household, as_member):
    text = text_of(as_member.get(reverse("jars:borrow", args=[coop.slug, other_household.pk])))
    assert "No jars to spare" in text


@pytest.mark.sqlite  # about the page alone
def test_an_old_count_is_told(coop, household, other_household, as_member):
    at = factories.NOW - timedelta(days=61)
    rows.make_count(other_household, {QUARTS: (0, 9, 9)}, at=at)
    page = reverse("jars:borrow", args=[coop.slug, other_household.pk])
    assert "that is long ago" in text_of(as_member.get(page))


# ---- Answering ------------------------------------------------------------------------------
def test_a_yes_promises_the_jars(post, asked, lender, as_other_household_member):
    assert post(as_other_household_member, "agree", asked).status_code == 302
    assert spare(lender) == 6
    assert Change.objects.filter(about=f"loan:{asked.pk}").count() == 1


def test_who_asked_does_not_answer(post, asked, as_member, as_treasurer):
    assert post(as_member, "agree", asked).status_code == 403
    assert post(as_treasurer, "agree", asked).status_code == 403
    asked.refresh_from_db()
    assert asked.agreed_at is None


def test_the_borrower_answers_an_offer(post, lender, household, as_member):
    offered = rows.make_loan(lender, household, {QUARTS: 3}, started="offered")
    assert post(as_member, "agree", offered).status_code == 302


def test_a_coordinator_answers_for_another(post, asked, as_coordinator):
    assert post(as_coordinator, "agree", asked).status_code == 302


def test_a_second_yes_is_told(post, asked, as_other_household_member, as_coordinator):
    post(as_other_household_member, "agree", asked)
    answer = post(as_coordinator, "agree", asked)
    assert answer.status_code == 409
    assert "Luc Dufresne said yes to it already" in answer.content.decode()


def test_no_yes_past_what_can_be_spared(post, asked, lender, household, as_other_household_member):
    rows.make_loan(lender, household, {QUARTS: 12}, agreed=True)
    answer = post(as_other_household_member, "agree", asked)
    assert answer.status_code == 409
    assert "has 12 quarts, wide mouth, to spare now, not" in text_of(answer)
    asked.refresh_from_db()
    assert asked.agreed_at is None


def test_before_the_answer_the_page_says_what_can_be_spared(
    coop, asked, lender, household, as_other_household_member
):
    page = reverse("jars:loan", args=[coop.slug, asked.pk])
    assert "can spare now: 24 quarts, wide mouth." in text_of(as_other_household_member.get(page))
    rows.make_loan(lender, household, {QUARTS: 12}, agreed=True)
    text = text_of(as_other_household_member.get(page))
    assert "can spare less of these now: 12 quarts, wide mouth. Count again, or say no." in text


def test_no_yes_to_who_has_left(post, asked, household, as_other_household_member):
    household.left_at = factories.NOW
    household.save()
    assert post(as_other_household_member, "agree", asked).status_code == 409


@pytest.mark.parametrize(
    ("who", "sentence"),
    (
        ("as_other_household_member", "Dufresne said no."),
        ("as_member", "Castell took the ask back."),
        ("as_coordinator", "Called off by a coordinator."),
    ),
)
def test_either_side_ends_it_before_the_answer(request, coop, post, asked, who, sentence):
    client = request.getfixturevalue(who)
    assert post(client, "end_loan", asked).status_code == 302
    assert sentence in text_of(client.get(reverse("jars:loan", args=[coop.slug, asked.pk])))
    assert Change.objects.get(about=f"loan:{asked.pk}").sentence == sentence


def test_an_agreed_loan_called_off_frees_its_jars(post, lender, household, as_member):
    agreed = rows.make_loan(lender, household, {QUARTS: 18}, agreed=True)
    assert spare(lender) == 6
    assert post(as_member, "end_loan", agreed).status_code == 302
    assert spare(lender) == 24


def test_what_is_handed_over_is_not_called_off(post, lender, household, as_member):
    out = rows.make_loan(lender, household, {QUARTS: 18}, handed_over=True)
    answer = post(as_member, "end_loan", out)
    assert answer.status_code == 409
    assert "write down what comes back" in answer.content.decode()


def test_the_rest_of_a_hand_over_may_be_called_off(post, lender, household, as_member):
    loan = rows.make_loan(lender, household, {QUARTS: 18}, agreed=True)
    rows.make_move(loan, QUARTS, 6)
    assert post(as_member, "end_loan", loan).status_code == 302
    assert spare(lender) == 18


def test_what_has_ended_is_neither_ended_nor_agreed_to_again(post, asked, as_coordinator):
    post(as_coordinator, "end_loan", asked)
    assert post(as_coordinator, "end_loan", asked).status_code == 409
    assert post(as_coordinator, "agree", asked).status_code == 409


@pytest.mark.sqlite  # about the page alone
def test_a_third_household_ends_nothing(post, asked, as_treasurer):
    assert post(as_treasurer, "end_loan", asked).status_code == 403


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("act", ("agree", "end_loan"))
def test_another_co_ops_loan_is_not_there(coop, asked, act, as_outsider, post, as_member):
    assert post(as_outsider, act, asked).status_code == 404
    theirs = rows.make_loan(factories.make_household(), None)
    assert post(as_member, act, theirs).status_code == 404
    assert as_member.get(reverse("jars:loan", args=[coop.slug, theirs.pk])).status_code == 404


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("act", ("agree", "end_loan", "hand_over", "take_back", "broken", "keep"))
def test_looking_changes_nothing(coop, asked, act, as_other_household_member):
    page = reverse(f"jars:{act}", args=[coop.slug, asked.pk])
    assert as_other_household_member.get(page).status_code == 405
