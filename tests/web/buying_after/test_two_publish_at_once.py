"""Two coordinators publish different divisions at the same moment: one stands, one is told.

Over real connections: each thread has its own, and both wait at a barrier before they send.
"""

import threading
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest
from django.db import connection, connections
from django.test import Client

from coop.buying.actions import divide as acts
from coop.buying.models import Buy, Division, Share, Spare
from coop.buying.queries.division import case_of
from tests.web import buy_factories as rows
from tests.web import factories

ROUNDS = 2
CHOICES = ({"rule": "even"}, {"rule": "season", "why": "Brandt was short in July"})


@pytest.fixture
def two_coordinators(transactional_db):
    """A short buy, and a client for each of two coordinators of its co-op."""
    coop = factories.make_coop()
    people = [
        factories.make_member(factories.make_household(coop), name, roles=["coordinator"])
        for name in ("Ruth Adeyemi", "Otto Brandt")
    ]
    clients = [Client(), Client()]
    for client, person in zip(clients, people, strict=True):
        client.force_login(person.user)
    return people, clients


def short_line(people):
    """70 lb asked in two asks of 50 and 20 lb, 61 lb came."""
    asks = {people[0].household: 500, people[1].household: 200}
    buy = rows.make_collected_buy(coordinator=people[0], asks=asks, gross=601, shortage_rule="even")
    return rows.the_line(buy)


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


@pytest.mark.parametrize("_", range(ROUNDS))
def test_one_wins_and_the_other_gets_a_clear_page(two_coordinators, at_slug, _):
    people, clients = two_coordinators
    line = short_line(people)
    page = at_slug(people[0].coop, "publish_division", line.buy_id, line.pk)
    seen = case_of(line).digest
    answers = at_once(
        *(
            lambda client=client, typed=typed: client.post(page, {"seen": seen} | typed)
            for client, typed in zip(clients, CHOICES, strict=True)
        )
    )
    assert sorted(answer.status_code for answer in answers) == [302, 409]
    winner = 0 if answers[0].status_code == 302 else 1
    standing = Division.objects.get()
    assert (standing.published_by, standing.rule) == (people[winner], CHOICES[winner]["rule"])
    told = answers[1 - winner].content.decode()
    assert f"{people[winner]} published a division" in told
    assert "That one stands" in told


def test_nothing_of_the_losers_is_saved(two_coordinators, at_slug):
    people, clients = two_coordinators
    line = short_line(people)
    page = at_slug(people[0].coop, "publish_division", line.buy_id, line.pk)
    seen = case_of(line).digest
    at_once(
        *(
            lambda client=client, typed=typed: client.post(page, {"seen": seen} | typed)
            for client, typed in zip(clients, CHOICES, strict=True)
        )
    )
    assert Share.objects.count() == 2
    assert Spare.objects.get().amount == 1
    assert Buy.objects.get(pk=line.buy_id).stage == Buy.Stage.DIVIDED


def test_the_constraint_alone_is_enough(two_coordinators, at_slug, monkeypatch):
    """Even with the courtesy look before it taken away, the database keeps one division."""
    people, _ = two_coordinators
    line = short_line(people)
    looks = threading.local()

    def look(line, buy, *, real=acts._refuse_second):
        looks.done = getattr(looks, "done", 0) + 1
        if looks.done > 1:  # the look after the constraint has spoken, to say who was first
            real(line, buy)

    monkeypatch.setattr(acts, "_refuse_second", look)
    monkeypatch.setattr(acts, "require_stage", lambda *_: None)
    tries = zip(people, ("even", "season"), strict=True)
    results = at_once(*(partial(outcome, line, by, rule) for by, rule in tries))
    assert sorted(results) == ["published", "too late"]
    assert Division.objects.count() == 1


def outcome(line, by, rule):
    """What came of publishing."""
    try:
        acts.publish_division(line, acts.core.Rule(rule), by=by, why="agreed")
    except acts.TooLate:
        return "too late"
    return "published"
