"""What letters go through besides: several clocks, a broker or a database that is away, carriers
that are told to end or killed. Real processes and a real mail server, as in the kill tests.
"""

import os
import signal
from contextlib import suppress
from urllib.parse import urlsplit

import pytest
from django.db import connection

from tests.services.gate import Gate
from tests.services.post_office import fill

pytestmark = [pytest.mark.slow]
LETTERS = 400
FEWEST, MOST = 20, 60


def crew(office, *, workers=2, clocks=1):
    for _ in range(workers):
        office.start_worker()
    for _ in range(clocks):
        office.start_clock()


def finish(office):
    office.wait_until_all_is_written_down()
    office.close()


def every_few_letters(office, act):
    """Do something after every few letters, until all are there; how often."""
    times, after = 0, office.chance.randint(FEWEST, MOST)
    while after < LETTERS:
        office.wait_for_letters(after)
        act()
        times += 1
        after = len(office.counted.letters) + office.chance.randint(FEWEST, MOST)
    return times


@pytest.mark.either
def test_four_clocks_and_a_member_gets_one_letter_with_all_that_is_due(open_office, redis_url):
    addresses = fill(LETTERS, matters=2)
    office = open_office(redis_url=redis_url)
    crew(office, clocks=4)
    finish(office)
    office.assert_each_came_once(addresses)


@pytest.mark.either
def test_a_broker_that_is_down_for_a_while_loses_nothing(open_office, redis_url):
    server = urlsplit(redis_url)
    gate = Gate(server.hostname, server.port or 6379)
    gate.open()
    addresses = fill(LETTERS)
    office = open_office(redis_url=f"redis://127.0.0.1:{gate.port}{server.path}")
    crew(office)
    office.wait_for_letters(MOST)
    gate.shut()
    addresses |= fill(LETTERS, slug="later")
    office.wait_until(lambda: not office.carriers())
    assert not [letter for letter in office.counted.letters if letter[0].startswith("later")]
    gate.open()
    finish(office)
    gate.shut()
    office.assert_each_came_once(addresses)


@pytest.mark.postgres
def test_connections_cut_by_the_database_lose_no_letter_and_send_none_twice(open_office, redis_url):
    def cut():
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )

    addresses = fill(LETTERS)
    office = open_office(redis_url=redis_url)
    crew(office)
    assert every_few_letters(office, cut) >= LETTERS // MOST - 1
    finish(office)
    office.assert_each_came_once(addresses)


def tell_a_carrier(office, number):
    if carriers := office.carriers():
        with suppress(ProcessLookupError):
            os.kill(office.chance.choice(carriers), number)


@pytest.mark.either
def test_carriers_that_are_told_to_end_finish_the_letter_in_hand(open_office, redis_url):
    addresses = fill(LETTERS)
    office = open_office(redis_url=redis_url)
    crew(office)
    every_few_letters(office, lambda: tell_a_carrier(office, signal.SIGTERM))
    finish(office)
    office.assert_each_came_once(addresses)


@pytest.mark.either
def test_carriers_that_are_killed_lose_nothing_and_what_comes_twice_is_known_as_one(
    open_office, redis_url
):
    """The one thing that SMTP cannot tell: whether a letter was taken whose carrier died then."""
    addresses = fill(LETTERS)
    office = open_office(redis_url=redis_url)
    crew(office)
    every_few_letters(office, lambda: tell_a_carrier(office, signal.SIGKILL))
    finish(office)
    assert {recipient for recipient, _, _ in office.counted.letters} == addresses
    assert [letters for letters in office.twice().values() if len(letters) > 1] == []
