"""Workers are killed at random while letters go out: each letter comes, and comes once.

The mail server is a real one and counts; workers, clocks and brokers are real processes. Whoever
is killed is killed by SIGKILL with its whole group.
"""

import pytest
from redis import Redis

from tests.services.post_office import fill

pytestmark = pytest.mark.slow
LETTERS = 2000
WORKERS, CLOCKS = 3, 2
FEWEST, MOST = 40, 160  # letters from one kill to the next


def send_all(office, *, meanwhile):
    """Send 2,000 letters; after every few of them `meanwhile` is done."""
    addresses = fill(LETTERS)
    for _ in range(WORKERS):
        office.start_worker()
    for _ in range(CLOCKS):
        office.start_clock()
    after = office.chance.randint(FEWEST, MOST)
    times = 0
    while after < LETTERS:
        office.wait_for_letters(after)
        meanwhile()
        times += 1
        after = len(office.counted.letters) + office.chance.randint(FEWEST, MOST)
    office.wait_until_all_is_written_down()
    office.close()
    return addresses, times


@pytest.mark.sqlite
def test_workers_killed_with_a_folder_for_a_broker_lose_no_letter_and_send_none_twice(open_office):
    office = open_office()
    addresses, kills = send_all(office, meanwhile=office.kill_a_worker)
    assert kills >= LETTERS // MOST - 1
    office.assert_each_came_once(addresses)


@pytest.mark.either
def test_workers_killed_with_redis_for_a_broker_lose_no_letter_and_send_none_twice(
    open_office, redis_url
):
    office = open_office(redis_url=redis_url)
    addresses, kills = send_all(office, meanwhile=office.kill_a_worker)
    assert kills >= LETTERS // MOST - 1
    office.assert_each_came_once(addresses)


@pytest.mark.either
def test_redis_emptied_again_and_again_loses_no_letter_and_sends_none_twice(open_office, redis_url):
    office = open_office(redis_url=redis_url)
    with Redis.from_url(redis_url) as server:
        addresses, times = send_all(office, meanwhile=server.flushdb)
    assert times >= LETTERS // MOST - 1
    office.assert_each_came_once(addresses)
