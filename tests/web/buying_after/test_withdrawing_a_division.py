"""Taking a division back, with a reason, while that is still possible."""

import pytest
from django.utils import timezone

from coop.buying.models import Buy, Charge, Division, Share, Spare
from coop.money.actions.entries import Flow, post_entry, reverse_entry
from coop.money.models import Entry
from coop.people.models import Change
from tests.web import buy_factories as rows


@pytest.fixture
def withdraw(as_coordinator, divided, at):
    def sent(client=as_coordinator, why="the scale was off by five pounds"):
        page = at("withdraw_division", divided.pk, rows.the_line(divided).pk)
        return client.post(page, {"why": why})

    return sent


def charge_produce(buy, by):
    """A charge for produce, as the books would have it."""
    household = by.household
    flows = [Flow(buy.account, household.account, 1000)]
    entry = post_entry(buy.coop, Entry.Kind.PRODUCE, flows, title="Produce", by=by)
    return Charge.objects.create(
        buy=buy, line=rows.the_line(buy), what="produce", title="Corn", cents=1000, entry=entry
    )


def test_the_buy_goes_back_to_collected_and_is_divided_anew(withdraw):
    assert withdraw().status_code == 302
    division = Division.objects.get()
    assert division.withdrawn_at is not None
    assert division.withdrawn_why == "the scale was off by five pounds"
    assert Buy.objects.get().stage == Buy.Stage.COLLECTED


def test_what_was_on_the_spare_table_is_taken_off(withdraw):
    withdraw()
    assert Spare.objects.get().withdrawn_at is not None


def test_the_reason_and_the_shares_stay_in_the_history(withdraw, divided, household):
    withdraw()
    change = Change.objects.get(about=f"buy:{divided.pk}", sentence__contains="withdrawn")
    assert "the scale was off" in change.sentence
    assert change.before["shares"][str(household.pk)] == 400


def test_without_a_reason_it_stands(withdraw):
    answer = withdraw(why=" ")
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()
    assert Division.objects.get().withdrawn_at is None


def test_once_the_produce_is_charged_it_stands(withdraw, divided, coordinator):
    charge_produce(divided, coordinator)
    answer = withdraw()
    assert answer.status_code == 409
    assert "Reverse the charge first" in answer.content.decode()
    assert Division.objects.get().withdrawn_at is None


def test_a_reversed_charge_is_in_nobodys_way(withdraw, divided, coordinator, treasurer):
    charge = charge_produce(divided, coordinator)
    reverse_entry(charge.entry, why="wrong bill", by=treasurer)
    assert withdraw().status_code == 302


def test_what_is_fetched_cannot_be_divided_anew(withdraw, household):
    Share.objects.filter(household=household).update(fetched_at=timezone.now())
    answer = withdraw()
    assert answer.status_code == 422
    assert "ticked as fetched already" in answer.content.decode()


def test_a_withdrawn_division_is_not_withdrawn_again(withdraw):
    withdraw()
    withdraw(why="twice")
    assert Division.objects.get().withdrawn_why == "the scale was off by five pounds"


@pytest.mark.sqlite  # about the page alone
def test_a_member_without_the_role_cannot_withdraw(withdraw, as_member):
    assert withdraw(as_member).status_code == 403
    assert Division.objects.get().withdrawn_at is None


@pytest.mark.sqlite  # about the page alone
def test_another_co_op_cannot_withdraw(withdraw, as_outsider):
    assert withdraw(as_outsider).status_code == 404
    assert Division.objects.get().withdrawn_at is None


@pytest.mark.sqlite  # about the page alone
def test_withdrawing_is_never_done_by_looking(as_coordinator, divided, at):
    page = at("withdraw_division", divided.pk, rows.the_line(divided).pk)
    assert as_coordinator.get(page).status_code == 405
