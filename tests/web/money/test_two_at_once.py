"""Two people do the same with the same money at the same moment: it counts once, and one is told.

Over real connections: each thread has its own, and both wait at a barrier before they send.
"""

import threading
from concurrent.futures import ThreadPoolExecutor
from uuid import uuid4

import pytest
from django.db import connection, connections
from django.test import Client
from django.urls import reverse

from coop.buying.models import BuyPayment, Charge
from coop.money.actions.rounds import square_up
from coop.money.models import Entry, SquareUp
from coop.money.queries.till import till_cash_cents
from tests.web import factories
from tests.web.money.books import balance, divided, enter, sum_of_balances

ROUNDS = 2
WON, LOST = 302, 409
many_times = pytest.mark.parametrize("attempt", range(ROUNDS))


@pytest.fixture
def two(transactional_db):
    """Two treasurers who also coordinate, of one co-op, each with a client."""
    coop = factories.make_coop()
    people = [
        factories.make_member(
            factories.make_household(coop, name), name, roles=["coordinator", "treasurer"]
        )
        for name in ("Ruth", "Otto")
    ]
    clients = [Client(), Client()]
    for client, person in zip(clients, people, strict=True):
        client.force_login(person.user)
    return people, clients


def at_once(*calls):
    """Run the calls in threads that start together; each gives up its connection at its end."""
    barrier = threading.Barrier(len(calls), timeout=20)

    def run(call):
        try:
            connection.ensure_connection()
            barrier.wait()
            return call()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(calls)) as pool:
        return [future.result() for future in [pool.submit(run, call) for call in calls]]


def both_post(clients, page, typed):
    """What each of the two is answered, the winner's status first."""
    answers = at_once(*(lambda each=client: each.post(page, typed) for client in clients))
    return sorted(answers, key=lambda answer: answer.status_code)


def address(coop, name, *parts):
    return reverse(name, args=[coop.slug, *parts])


def test_two_charge_the_produce(two):
    people, clients = two
    coop, household = people[0].coop, people[0].household
    for _ in range(ROUNDS):
        buy = divided(coop, {household: 300}, 4000)
        page = address(coop, "buying:charge_produce", buy.pk)
        won, lost = both_post(clients, page, {})
        assert (won.status_code, lost.status_code) == (WON, LOST)
        assert "charged" in lost.content.decode()
        assert Charge.objects.filter(buy=buy).count() == 1
    assert balance(household) == -4000 * ROUNDS


@many_times
def test_two_confirm_the_same_payment(two, attempt):
    people, clients = two
    coop = people[0].coop
    enter(people[0].household, people[1].household, 700, by=people[0])
    payment = square_up(coop, by=people[0]).payments.get()
    page = address(coop, "money:confirm_payment", payment.pk)
    won, lost = both_post(clients, page, {})
    assert (won.status_code, lost.status_code) == (WON, LOST)
    assert "confirmed already, by" in lost.content.decode()
    assert balance(people[0].household) == balance(people[1].household) == 0


@many_times
def test_two_reverse_the_same_entry(two, attempt):
    people, clients = two
    coop, household = people[0].coop, people[0].household
    entry = enter(household, coop, 700, by=people[0])
    page = address(coop, "money:reverse_entry", entry.pk)
    won, lost = both_post(clients, page, {"why": "Typed twice"})
    assert (won.status_code, lost.status_code) == (WON, LOST)
    assert "reversed already" in lost.content.decode()
    assert Entry.objects.filter(reverses=entry).count() == 1
    assert balance(household) == 0


@many_times
def test_one_form_is_sent_twice(two, attempt):
    """A slow phone sends again: both answers lead on, and the money counts once."""
    people, clients = two
    coop, household = people[0].coop, people[0].household
    buy = divided(coop, {household: 300}, 4000)
    page = address(coop, "buying:cash", buy.pk, household.pk)
    answers = both_post(clients, page, {"cents": "12.50", "once": str(uuid4())})
    assert [answer.status_code for answer in answers] == [WON, WON]
    assert BuyPayment.objects.get().cents == 1250
    assert balance(household) == 1250


@many_times
def test_two_pay_out_what_the_till_holds_once(two, attempt):
    people, clients = two
    coop, household = people[0].coop, people[0].household
    enter(household, coop, 1000, by=people[0])
    page = address(coop, "money:pay_out")
    answers = at_once(
        *(
            lambda each=client: each.post(
                page, {"household": household.pk, "cents": "10.00", "once": str(uuid4())}
            )
            for client in clients
        )
    )
    assert sorted(answer.status_code for answer in answers) == [WON, 422]
    assert till_cash_cents(coop) == 0


@many_times
def test_two_square_up(two, attempt):
    """The later of two rounds withdraws the earlier: one is open, and nothing moved."""
    people, clients = two
    coop = people[0].coop
    enter(people[0].household, people[1].household, 700, by=people[0])
    answers = both_post(clients, address(coop, "money:square_up"), {})
    assert {answer.status_code for answer in answers} <= {WON, LOST}
    assert SquareUp.objects.filter(finished_at=None, withdrawn_at=None).count() == 1
    assert sum_of_balances(coop) == 0


@many_times
def test_a_charge_and_a_confirmation_do_not_wait_for_each_other_for_ever(two, attempt):
    people, clients = two
    coop, household = people[0].coop, people[0].household
    enter(household, people[1].household, 700, by=people[0])
    payment = square_up(coop, by=people[0]).payments.get()
    buy = divided(coop, {household: 300}, 4000)
    pages = [
        address(coop, "buying:charge_produce", buy.pk),
        address(coop, "money:confirm_payment", payment.pk),
    ]
    answers = at_once(
        *(
            lambda each=client, at=page: each.post(at)
            for client, page in zip(clients, pages, strict=True)
        )
    )
    assert [answer.status_code for answer in answers] == [WON, WON]
    assert sum_of_balances(coop) == 0
