"""A tally smaller than what was promised at the least: by how much, and what to do."""

import pytest

from coop.buying.models import Ask, Buy, Division
from coop.buying.queries.division import case_of
from coop.people.models import Change


@pytest.fixture
def promised_line(short_line):
    """60 lb came; minimums of 45 and 20 lb were promised."""
    short_line.asks.filter(wanted=500).update(at_least=450)
    short_line.asks.filter(wanted=200).update(at_least=200)
    return short_line


@pytest.fixture
def ask(promised_line, household):
    return promised_line.asks.get(household=household)


@pytest.fixture
def ease(as_coordinator, ask, at):
    def sent(client=as_coordinator, **typed):
        page = at("ease_ask", ask.line.buy_id, ask.pk)
        return client.post(page, {"at_least": "40", "agreed": "on"} | typed)

    return sent


@pytest.mark.sqlite  # about the page alone
def test_the_page_says_by_how_much_and_whose_minimums(as_member, promised_line, at):
    text = as_member.get(at("divide", promised_line.buy_id, promised_line.pk)).content.decode()
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    assert "5 lb too little for what was promised at the least" in text
    assert "at least 45 lb of the 50 lb wanted" in text
    assert "What can be done" in text


def test_publishing_is_refused_with_the_same_figure(as_coordinator, promised_line, at):
    page = at("publish_division", promised_line.buy_id, promised_line.pk)
    seen = case_of(promised_line).digest
    answer = as_coordinator.post(page, {"rule": "even", "seen": seen})
    assert answer.status_code == 422
    assert "5 lb too little" in answer.content.decode().replace("\N{NO-BREAK SPACE}", " ")
    assert not Division.objects.exists()


def test_a_lower_minimum_makes_it_possible(ease, as_coordinator, ask, at):
    assert ease().url == at("divide", ask.line.buy_id, ask.line_id)
    ask.refresh_from_db()
    assert ask.at_least == 400
    text = as_coordinator.get(at("divide", ask.line.buy_id, ask.line_id)).content.decode()
    assert "Publish this division" in text


def test_all_or_nothing_makes_it_possible(ease, ask):
    ease(at_least="45", or_none="on")
    ask.refresh_from_db()
    assert (ask.at_least, ask.or_none) == (450, True)


def test_who_eased_it_is_kept(ease, coordinator, ask):
    ease()
    change = Change.objects.get(about=f"buy:{ask.line.buy_id}", member=coordinator)
    assert (change.before["at_least"], change.after["at_least"]) == (450, 400)


def test_without_the_households_yes_nothing_changes(ease, ask):
    answer = ease(agreed="")
    assert answer.status_code == 422
    assert "Ask the household first" in answer.content.decode()
    ask.refresh_from_db()
    assert ask.at_least == 450


@pytest.mark.parametrize("least", ("50", "45"))
def test_a_minimum_is_only_ever_lowered(ease, ask, least):
    assert ease(at_least=least).status_code == 422
    ask.refresh_from_db()
    assert ask.at_least == 450


def test_a_household_eases_its_own_minimum(ease, as_member):
    assert ease(as_member).status_code == 302


@pytest.mark.sqlite  # about the page alone
def test_nobody_eases_another_households_minimum(ease, as_other_household_member, ask):
    assert ease(as_other_household_member).status_code == 403
    ask.refresh_from_db()
    assert ask.at_least == 450


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_ask_is_not_there(ease, as_outsider):
    assert ease(as_outsider).status_code == 404


def test_a_minimum_stands_before_the_tally(ease, ask):
    Buy.objects.update(stage=Buy.Stage.CALLED_IN)
    assert ease().status_code == 409
    ask.refresh_from_db()
    assert ask.at_least == 450


def test_an_ask_that_no_step_fits_is_named(as_coordinator, short_line, at):
    Ask.objects.filter(wanted=500).update(at_least=490, whole=350)
    text = as_coordinator.get(at("divide", short_line.buy_id, short_line.pk)).content.decode()
    assert "A minimum cannot be kept." in text
    assert "Castell" in text
