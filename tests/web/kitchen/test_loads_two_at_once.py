"""Two people write loads and lots down at the same moment: each gets its own number.

Over real connections: each thread has its own, and both wait at a barrier before they send.
"""

import threading
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest
from django.db import connection, connections
from django.test import Client

from coop.kitchen.models import Fate, Load, Lot, SealCheck
from tests.web import factories
from tests.web.kitchen.loading import line, page, typed, writing
from tests.web.kitchen_factories import make_load, make_lot

ROUNDS = 2


@pytest.fixture
def two(transactional_db):
    """Two members of two households of one co-op, each with a client."""
    coop = factories.make_coop()
    people = [
        factories.make_member(factories.make_household(coop, name), name)
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


def test_two_loads_get_different_runs_and_numbers(two):
    people, clients = two
    for attempt in range(ROUNDS):
        answers = at_once(
            *(
                partial(
                    client.post, writing(person), typed(person, canner=f"{person.name} {attempt}")
                )
                for client, person in zip(clients, people, strict=True)
            )
        )
        assert [answer.status_code for answer in answers] == [302, 302]
    count = 2 * ROUNDS
    assert sorted(Load.objects.values_list("run", flat=True)) == list(range(1, count + 1))
    numbers = sorted(Lot.objects.values_list("number", flat=True))
    assert numbers == list(range(101, 101 + count))


def test_one_form_sent_twice_makes_one_load(two):
    people, clients = two
    for attempt in range(ROUNDS):
        form = typed(people[0], canner=f"Pot {attempt}")
        send = partial(clients[0].post, writing(people[0]), form)
        answers = at_once(send, send)
        assert sorted(answer.status_code for answer in answers) == [302, 422]
    assert Load.objects.count() == Lot.objects.count() == ROUNDS


def test_lots_added_to_one_load_at_once_get_different_numbers(two):
    people, clients = two
    load = make_load(by=people[0])
    address = page(people[0], "add_lot", load.pk)
    at_once(
        *(
            partial(client.post, address, line(person.household, count=3))
            for client, person in zip(clients, people, strict=True)
        )
    )
    assert sorted(load.lots.values_list("number", flat=True)) == [101, 102]


def test_no_jar_is_thrown_out_twice(two):
    """Each alone would be right; together they would be more than did not seal."""
    people, clients = two
    other = factories.make_member(people[0].household, "Ada")
    clients[1].force_login(other.user)
    for _ in range(ROUNDS):
        lot = make_lot(people[0].household, load=make_load(by=people[0]), sealed=6)
        address = page(people[0], "unsealed", lot.pk)
        answers = at_once(
            partial(clients[0].post, address, {"fridge": 1}),
            partial(clients[1].post, address, {"thrown_out": 1}),
        )
        assert {answer.status_code for answer in answers} == {302}
        assert sum(Fate.objects.filter(lot=lot).values_list("count", flat=True)) == 1


def test_seals_mended_while_a_fate_is_told_never_disagree(two):
    people, clients = two
    for _ in range(ROUNDS):
        lot = make_lot(people[0].household, load=make_load(by=people[0]), sealed=6)
        at_once(
            partial(clients[0].post, page(people[0], "seals", lot.pk), {"sealed": 7}),
            partial(clients[0].post, page(people[0], "unsealed", lot.pk), {"fridge": 1}),
        )
        sealed = SealCheck.objects.get(lot=lot).sealed
        assert sealed + Fate.objects.filter(lot=lot).count() <= 7
