"""The overview of a tally, the sheet for the clipboard, and saying that everything is in."""

import pytest

from coop.buying.models import Buy
from tests.web import buy_factories as rows


def test_everything_counted_makes_the_buy_collected(as_coordinator, called_in, at):
    rows.make_tally(rows.the_supply(called_in))
    answer = as_coordinator.post(at("finish_tally", called_in.pk))
    assert answer.url == at("divide", called_in.pk)
    assert Buy.objects.get().stage == Buy.Stage.COLLECTED


@pytest.mark.sqlite  # about the page alone
def test_what_is_not_counted_is_named(as_coordinator, called_in, at):
    answer = as_coordinator.post(at("finish_tally", called_in.pk))
    assert answer.status_code == 422
    assert f"Sweet corn from {rows.the_supply(called_in).farm}" in answer.content.decode()
    assert Buy.objects.get().stage == Buy.Stage.CALLED_IN


@pytest.mark.sqlite  # about the page alone
def test_a_member_without_the_role_cannot_finish(as_member, called_in, at):
    rows.make_tally(rows.the_supply(called_in))
    assert as_member.post(at("finish_tally", called_in.pk)).status_code == 403
    assert Buy.objects.get().stage == Buy.Stage.CALLED_IN


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_tally_is_not_there(as_outsider, called_in, at):
    assert as_outsider.post(at("finish_tally", called_in.pk)).status_code == 404
    assert as_outsider.get(at("tally", called_in.pk)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_finishing_is_never_done_by_looking(as_coordinator, called_in, at):
    assert as_coordinator.get(at("finish_tally", called_in.pk)).status_code == 405


def test_a_finished_tally_is_not_finished_again(as_coordinator, short_buy, at):
    assert as_coordinator.post(at("finish_tally", short_buy.pk)).status_code == 409


@pytest.mark.sqlite  # about the page alone
def test_the_price_of_a_pound_delivered_stands_beside_the_price_promised(as_member, called_in, at):
    # 70 lb promised for $48.00 is $0.69 a lb; 60 lb usable of a bill of $45.00 is $0.75 a lb.
    rows.make_tally(rows.the_supply(called_in), gross=640, culls=40, bill_cents=4500)
    body = as_member.get(at("tally", called_in.pk)).content.decode()
    assert "$0.69 a\N{NO-BREAK SPACE}lb" in body or "$0.69 a lb" in body
    assert "$0.75 a\N{NO-BREAK SPACE}lb" in body or "$0.75 a lb" in body


@pytest.mark.sqlite  # about the page alone
def test_the_sheet_names_every_delivery(as_member, called_in, at):
    body = as_member.get(at("tally_sheet", called_in.pk)).content.decode()
    assert f"Sweet corn from {rows.the_supply(called_in).farm}" in body
    assert "Culls (lb)" in body
