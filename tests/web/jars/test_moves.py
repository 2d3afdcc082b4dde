"""Jars of a loan change hands, break and come back; what is out is always the sum of the moves."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from coop.jars.models import JarMove, Loan
from coop.jars.queries.loans import Stage, loan_for, standing_of
from coop.jars.queries.stock import stock_of
from coop.people.models import Change
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, text_of

QUARTS, PINTS = "quart_wide", "pint_wide"


@pytest.fixture
def lender(other_household, other_household_member):
    """Can spare 24 quarts and 12 pints."""
    rows.make_count(other_household, {QUARTS: (0, 30, 24), PINTS: (3, 12, 12)})
    return other_household


@pytest.fixture
def agreed(lender, household, member):
    """12 quarts and 6 pints, promised."""
    return rows.make_loan(lender, household, {QUARTS: 12, PINTS: 6}, agreed=True)


@pytest.fixture
def out(lender, household, member):
    """12 quarts and 6 pints, all of them at the borrower's."""
    return rows.make_loan(lender, household, {QUARTS: 12, PINTS: 6}, handed_over=True)


@pytest.fixture
def write(coop):
    def sent(client, act, loan, **typed):
        return client.post(reverse(f"jars:{act}", args=[coop.slug, loan.pk]), typed)

    return sent


@pytest.fixture
def stands(member):
    """Where a loan stands, read anew."""
    return lambda loan: standing_of(loan_for(member, loan.pk))


# ---- Does it work ---------------------------------------------------------------------------
def test_jars_are_handed_over_in_parts(write, agreed, as_member, stands, lender):
    assert write(as_member, "hand_over", agreed, **{QUARTS: "8", PINTS: "6"}).status_code == 302
    assert stands(agreed).out == {PINTS: 6, QUARTS: 8}
    assert stands(agreed).to_hand_over == {QUARTS: 4}
    # 24 spare: 12 promised before, 8 gone and 4 promised now.
    assert stock_of(lender).kinds[QUARTS].spare == 12


def test_jars_come_back_break_and_are_kept(
    write, out, as_member, as_other_household_member, stands
):
    write(as_member, "take_back", out, **{QUARTS: "9", PINTS: "6"})
    write(as_member, "broken", out, **{QUARTS: "1", "note": "Dropped one"})
    assert stands(out).out == {QUARTS: 2}
    write(as_other_household_member, "keep", out, **{QUARTS: "2"})
    assert stands(out).out == {}
    assert stands(out).stage == Stage.DONE


def test_what_came_back_can_be_spared_again_and_what_broke_cannot(write, out, as_member, lender):
    assert stock_of(lender).kinds[QUARTS].spare == 12
    write(as_member, "take_back", out, **{QUARTS: "9"})
    write(as_member, "broken", out, **{QUARTS: "3"})
    assert stock_of(lender).kinds[QUARTS].spare == 21


@pytest.mark.sqlite  # about the page alone
def test_the_page_tells_it_in_sentences(write, out, as_member, coop):
    write(as_member, "take_back", out, **{QUARTS: "9", PINTS: "6"})
    write(as_member, "broken", out, **{QUARTS: "1", "note": "Dropped one"})
    text = text_of(as_member.get(reverse("jars:loan", args=[coop.slug, out.pk])))
    assert "Castell asked Dufresne for 6 pints, wide mouth, and 12 quarts, wide mouth." in text
    assert "6 pints, wide mouth, and 9 quarts, wide mouth, came back." in text
    assert "1 quart, wide mouth, broke. “Dropped one” Ines Castell, today at 9:00" in text


def test_each_act_is_kept_with_who_and_when(write, out, as_member, member):
    write(as_member, "take_back", out, **{QUARTS: "9"})
    change = Change.objects.get(about=f"loan:{out.pk}")
    assert (change.member, change.sentence) == (member, "9 quarts, wide mouth, came back.")


@pytest.fixture
def look_at(coop, as_member):
    def page(loan):
        return as_member.get(reverse("jars:loan", args=[coop.slug, loan.pk]))

    return page


def test_an_overdue_loan_is_told(lender, household, look_at):
    late = rows.make_loan(lender, household, handed_over=True, due_on=date(2026, 8, 10))
    answer = look_at(late)
    assert "overdue" in text_of(answer)
    assert "should have been back" in main_of(answer).find("strong", class_="warn").get_text()


def test_on_its_last_day_it_is_not_overdue_by_the_clocks_of_the_co_op(
    lender, household, look_at, clock
):
    # Nine in the evening of the 11th in Denver is the 12th in UTC.
    last = rows.make_loan(lender, household, handed_over=True, due_on=date(2026, 8, 11))
    clock.move_to(datetime(2026, 8, 12, 3, tzinfo=UTC))
    assert "due back today" in text_of(look_at(last))


# ---- Who is refused -------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("act", ("hand_over", "take_back", "broken", "keep"))
def test_a_third_household_writes_nothing(write, agreed, act, as_treasurer, as_outsider):
    assert write(as_treasurer, act, agreed, **{QUARTS: "1"}).status_code == 403
    assert write(as_outsider, act, agreed, **{QUARTS: "1"}).status_code == 404
    assert not JarMove.objects.exists()


def test_only_the_lender_lets_jars_be_kept(write, out, as_member, as_other_household_member, coop):
    assert write(as_member, "keep", out, **{QUARTS: "1"}).status_code == 403
    page = reverse("jars:loan", args=[coop.slug, out.pk])
    assert "may keep some" not in text_of(as_member.get(page))
    assert "may keep some" in text_of(as_other_household_member.get(page))


def test_the_borrower_reads_who_says_what_may_be_kept(
    out, as_member, as_other_household_member, coop
):
    page = reverse("jars:loan", args=[coop.slug, out.pk])
    sentence = "ask Dufresne to write down here what you keep"
    assert sentence in text_of(as_member.get(page))
    assert sentence not in text_of(as_other_household_member.get(page))


def test_the_lender_takes_back_and_the_borrower_gives_back(
    out, as_member, as_other_household_member, as_coordinator, coop
):
    page = reverse("jars:loan", args=[coop.slug, out.pk])
    for client, words in (
        (as_member, "Give back"),
        (as_other_household_member, "Take back"),
        (as_coordinator, "They came back"),
    ):
        form = main_of(client.get(page)).find("form", action=f"{page}return/")
        assert form.find("button", class_="button-main").get_text() == words
        # It starts at what is out.
        assert form.find(attrs={"name": QUARTS})["value"] == "12"


@pytest.mark.parametrize("who", ["borrower", "lender", "coordinator"])
def test_a_return_by_mistake_leads_to_a_new_loan_of_the_same_jars(
    write, out, as_member, as_other_household_member, as_coordinator, coop, lender, who
):
    page = reverse("jars:loan", args=[coop.slug, out.pk])
    client = {
        "borrower": as_member, "lender": as_other_household_member, "coordinator": as_coordinator,
    }[who]  # fmt: skip
    assert "on that new loan" not in text_of(client.get(page))
    write(as_member, "take_back", out, **{QUARTS: "9"})
    fold = main_of(client.get(page)).select_one("details:has(> summary:-soup-contains(mistake))")
    link = fold.select_one("a")
    assert link.get_text() == ("offer them again" if who == "lender" else "ask for them again")
    form = main_of(client.get(link["href"])).select_one("form[method=post]")
    assert form.find(attrs={"name": QUARTS})["value"] == "9"
    answer = client.post(link["href"], {QUARTS: "9", "due_on": "2026-12-01"})
    assert answer.status_code == 302
    again = Loan.objects.exclude(pk=out.pk).get()
    assert (again.lender, again.borrower) == (lender, out.borrower)


@pytest.mark.sqlite  # about the page alone
def test_who_only_looks_is_not_told_how_to_mend(out, as_treasurer, coop):
    page = reverse("jars:loan", args=[coop.slug, out.pk])
    assert "by mistake" not in text_of(as_treasurer.get(page))


def test_a_coordinator_writes_for_others(write, out, as_coordinator):
    assert write(as_coordinator, "keep", out, **{QUARTS: "1"}).status_code == 302


@pytest.mark.sqlite  # about the page alone
def test_who_only_looks_sees_no_form(out, as_treasurer, coop):
    soup = main_of(as_treasurer.get(reverse("jars:loan", args=[coop.slug, out.pk])))
    assert not soup.find_all("form")
    assert "Out now" in soup.get_text()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        ({QUARTS: "13"}, "12 quarts, wide mouth, are out: that many, or fewer."),
        ({}, "Say how many jars"),
        ({QUARTS: "0"}, "Say how many jars"),
        ({QUARTS: "-2"}, "cannot be less than 0"),
        ({QUARTS: "x"}, "Write it in figures"),
        ({QUARTS: "1", "note": "x" * 201}, "at most 200 characters"),
        ({QUARTS: "1", "seen": "x"}, "whole number"),
    ),
)
def test_what_cannot_be_is_refused_and_stays_typed(write, out, as_member, typed, sentence):
    answer = write(as_member, "take_back", out, **{PINTS: "", **typed})
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    shown = main_of(answer).find(id=f"returned_{QUARTS}")
    assert shown.get("value", "") == typed.get(QUARTS, "")
    assert JarMove.objects.filter(what="returned").count() == 0


def test_no_more_is_handed_over_than_was_agreed(write, agreed, as_member):
    answer = write(as_member, "hand_over", agreed, **{QUARTS: "13"})
    assert answer.status_code == 422
    assert "12 quarts, wide mouth, are left to hand over" in text_of(answer)


def test_before_the_yes_nothing_is_handed_over(write, lender, household, as_member):
    asked = rows.make_loan(lender, household, {QUARTS: 3})
    answer = write(as_member, "hand_over", asked, **{QUARTS: "3"})
    assert answer.status_code == 409
    assert "Nobody has said yes" in answer.content.decode()


def test_after_its_end_nothing_is_handed_over(write, agreed, as_member):
    write(as_member, "end_loan", agreed)
    assert write(as_member, "hand_over", agreed, **{QUARTS: "3"}).status_code == 409


def test_once_jars_of_a_kind_come_back_no_more_of_it_go_out(write, agreed, as_member, stands):
    write(as_member, "hand_over", agreed, **{QUARTS: "8"})
    write(as_member, "take_back", agreed, **{QUARTS: "1"})
    assert stands(agreed).to_hand_over == {PINTS: 6}


# ---- Does a second try do harm --------------------------------------------------------------
def test_all_of_it_handed_over_twice_is_told(write, agreed, as_member):
    everything = {QUARTS: "12", PINTS: "6"}
    write(as_member, "hand_over", agreed, **everything)
    answer = write(as_member, "hand_over", agreed, **everything)
    assert answer.status_code == 409
    assert "All of it is handed over already" in answer.content.decode()


def test_a_part_sent_twice_from_one_page_counts_once(write, agreed, as_member, coop, stands):
    page = main_of(as_member.get(reverse("jars:loan", args=[coop.slug, agreed.pk])))
    seen = page.find("input", attrs={"name": "seen"})["value"]
    answers = [
        write(as_member, "hand_over", agreed, **{QUARTS: "4", "seen": seen}) for _ in range(2)
    ]
    assert [answer.status_code for answer in answers] == [302, 409]
    assert "wrote on this loan since" in answers[1].content.decode()
    assert stands(agreed).out == {QUARTS: 4}


def test_what_came_back_comes_back_once(write, out, as_member):
    everything = {QUARTS: "12", PINTS: "6"}
    write(as_member, "take_back", out, **everything)
    assert write(as_member, "take_back", out, **everything).status_code == 409
    assert write(as_member, "broken", out, **{QUARTS: "1"}).status_code == 409


def test_the_database_takes_no_more_back_than_went_out(out, member):
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.make_move(out, QUARTS, 13, what="returned", by=member)


def test_a_refusal_of_the_database_never_reaches_a_person(write, out, as_member, monkeypatch):
    monkeypatch.setattr("coop.jars.actions.moves.possible", lambda *_: {QUARTS: 99})
    answer = write(as_member, "take_back", out, **{QUARTS: "13"})
    assert answer.status_code == 409
    assert "Somebody was first" in answer.content.decode()
