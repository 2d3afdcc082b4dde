"""The order is placed once, within what farms sell and what is covered; and stepped back."""

import threading

import pytest
from django.db import connection
from django.http import Http404

from coop.buying.actions.asks import AskTerms, place_ask
from coop.buying.actions.call_in import call_in, call_off, step_back
from coop.buying.errors import NotAllowed, NotCovered, Refused, TooLate, WrongStage
from coop.buying.models import Buy, BuyPayment, CallIn, Tally
from coop.money.actions.entries import Flow, post_entry, reverse_entry
from coop.money.models import Entry
from coop.people.changes import changes_of
from tests.web.buy_factories import (
    make_ask,
    make_buy,
    make_called_in_buy,
    make_collected_buy,
    make_divided_buy,
    the_line,
    the_supply,
)
from tests.web.factories import NOW, make_farm, make_offer


@pytest.fixture
def buy(coop, coordinator, household):
    """Asks for two bushels, closed, and fronted up to $100."""
    offer = make_offer(make_farm(coop, "Fennick farm"), available=9, at_least=2)
    buy = make_buy(
        coop,
        coordinator=coordinator,
        offers=[offer],
        cover=Buy.Cover.FRONTED,
        fronted_by=household,
        front_limit_cents=10000,
        asks_close_at=NOW,
    )
    make_ask(the_line(buy), household, 700)
    return buy


def counts(buy, containers):
    return {the_supply(buy).pk: containers}


def test_the_order_is_kept_with_who_and_when(buy, coordinator):
    call_in(buy.pk, counts(buy, 2), spoke_to="Mrs Fennick", by=coordinator)
    buy.refresh_from_db()
    assert (buy.stage, the_supply(buy).called_in) == (Buy.Stage.CALLED_IN, 2)
    assert (buy.call_in.by, buy.call_in.at) == (coordinator, NOW)
    latest = changes_of(buy.coop, buy).first()
    assert " ".join(latest.sentence.split()) == "Called in: 2 bushels from Fennick farm"


@pytest.mark.parametrize(
    ("containers", "says"), [(10, "only 9"), (1, "2 of these"), (0, "nothing")]
)
def test_an_order_that_cannot_be_is_refused(buy, coordinator, containers, says):
    with pytest.raises(Refused, match=says):
        call_in(buy.pk, counts(buy, containers), by=coordinator)
    assert not CallIn.objects.exists()


def test_an_order_for_other_lines_is_out_of_date(buy, coordinator):
    with pytest.raises(TooLate):
        call_in(buy.pk, {}, by=coordinator)


def test_nothing_is_called_in_while_asks_are_open(buy, coordinator):
    Buy.objects.filter(pk=buy.pk).update(asks_close_at=buy.pickup_from)
    with pytest.raises(Refused, match="still open"):
        call_in(buy.pk, counts(buy, 2), by=coordinator)


def test_beyond_what_is_fronted_it_is_not_called_in(buy, coordinator):
    Buy.objects.filter(pk=buy.pk).update(front_limit_cents=4700)
    with pytest.raises(NotCovered, match=r"\$1\.00"):
        call_in(buy.pk, counts(buy, 2), by=coordinator)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.ASKING


def test_a_buy_that_waits_for_cover_says_what_is_missing(buy, coordinator):
    Buy.objects.filter(pk=buy.pk).update(
        cover=Buy.Cover.COVERED, fronted_by=None, front_limit_cents=None
    )
    with pytest.raises(NotCovered, match=r"\$48\.00 is missing"):
        call_in(buy.pk, counts(buy, 2), by=coordinator)


def test_a_plain_member_calls_nothing_in(buy, member, outsider):
    with pytest.raises(NotAllowed):
        call_in(buy.pk, counts(buy, 2), by=member)
    with pytest.raises(Http404):
        call_in(buy.pk, counts(buy, 2), by=outsider)


def test_a_buy_is_called_in_once(buy, coordinator):
    call_in(buy.pk, counts(buy, 2), by=coordinator)
    with pytest.raises(WrongStage):
        call_in(buy.pk, counts(buy, 3), by=coordinator)
    assert the_supply(buy).called_in == 2


@pytest.mark.django_db(transaction=True)
def test_of_two_who_call_in_at_once_one_wins(coop, coordinator, household):
    buy = make_buy(
        coop,
        coordinator=coordinator,
        cover=Buy.Cover.FRONTED,
        fronted_by=household,
        front_limit_cents=10**6,
        asks_close_at=NOW,
    )
    make_ask(the_line(buy), household, 700)
    orders = [counts(buy, containers) for containers in (2, 3)]
    told, barrier = [], threading.Barrier(2)

    def order(each):
        barrier.wait(timeout=10)
        try:
            call_in(buy.pk, each, by=coordinator)
            told.append("won")
        except WrongStage as refusal:
            told.append(refusal.sentence)
        finally:
            connection.close()

    threads = [threading.Thread(target=order, args=(each,)) for each in orders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told, key=len)[0] == "won"
    assert "called in by now" in sorted(told, key=len)[1]
    assert CallIn.objects.count() == 1


# ---- back, and off --------------------------------------------------------------------------
def test_the_call_in_is_stepped_back_with_a_reason(coordinator):
    buy = make_called_in_buy(coordinator=coordinator)
    with pytest.raises(Refused) as refusal:
        step_back(buy.pk, "  ", by=coordinator)
    assert refusal.value.field == "why"
    step_back(buy.pk, "The farm has no corn this week", by=coordinator)
    buy.refresh_from_db()
    assert (buy.stage, the_supply(buy).called_in) == (Buy.Stage.ASKING, None)
    assert not CallIn.objects.exists()
    assert "no corn this week" in changes_of(buy.coop, buy).first().sentence


def test_back_from_the_tally_it_is_called_in_and_the_tally_stays(coordinator):
    buy = make_collected_buy(coordinator=coordinator)
    step_back(buy.pk, "One box was left behind", by=coordinator)
    buy.refresh_from_db()
    assert buy.stage == Buy.Stage.CALLED_IN
    assert Tally.objects.exists()
    step_back(buy.pk, "Wrong farm", by=coordinator)
    assert not Tally.objects.exists()


def test_a_division_is_withdrawn_before_the_stage_goes_back(coordinator):
    buy = make_divided_buy(coordinator=coordinator)
    with pytest.raises(Refused, match="Withdraw the division"):
        step_back(buy.pk, "Weighed wrongly", by=coordinator)


def test_once_money_has_moved_the_stage_stands(coordinator, treasurer):
    buy = make_called_in_buy(coordinator.coop, coordinator=coordinator)
    flow = Flow(buy.account, coordinator.household.account, 500)
    entry = post_entry(buy.coop, Entry.Kind.COST, [flow], title="Fuel", by=coordinator)
    for act in (step_back, call_off):
        with pytest.raises(TooLate, match="Money has moved"):
            act(buy.pk, "Too late", by=coordinator)
    reverse_entry(entry, why="Not driven", by=treasurer)
    assert step_back(buy.pk, "Nobody drives", by=coordinator).stage == Buy.Stage.ASKING


def test_a_farm_that_was_paid_holds_the_stage_and_a_prepayment_does_not(coordinator, treasurer):
    buy = make_called_in_buy(coordinator.coop, coordinator=coordinator)
    till = buy.coop.accounts.get(kind="till")
    farm = the_supply(buy).farm

    def paid(source, target, **of):
        kind, flows = Entry.Kind.FARM_PAID, [Flow(source, target, 900)]
        entry = post_entry(buy.coop, kind, flows, title="Paid", by=treasurer)
        BuyPayment.objects.create(buy=buy, entry=entry, cents=900, **of)

    home = coordinator.household
    paid(home.account, till, household=home)
    step_back(buy.pk, "Not yet", by=coordinator)
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.CALLED_IN)
    paid(till, farm.account, farm=farm)
    with pytest.raises(TooLate):
        step_back(buy.pk, "Too late", by=coordinator)


def test_a_buy_is_called_off_and_can_be_taken_up_again(coordinator, member):
    buy = make_buy(coordinator.coop, coordinator=coordinator)
    with pytest.raises(NotAllowed):
        call_off(buy.pk, "Frost", by=member)
    call_off(buy.pk, "Frost", by=coordinator)
    buy.refresh_from_db()
    assert (buy.stage, buy.called_off_why) == (Buy.Stage.CALLED_OFF, "Frost")
    with pytest.raises(WrongStage):
        place_ask(buy.pk, the_line(buy).pk, AskTerms(350), household=member.household, by=member)
    step_back(buy.pk, "It was only the low field", by=coordinator)
    buy.refresh_from_db()
    assert (buy.stage, buy.called_off_why) == (Buy.Stage.ASKING, "")


def test_a_buy_that_asks_has_no_stage_to_go_back(coordinator):
    buy = make_buy(coordinator=coordinator)
    with pytest.raises(WrongStage):
        step_back(buy.pk, "Why not", by=coordinator)
