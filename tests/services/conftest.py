"""A post office for each test that asks for one."""

import random
import sys

import pytest

from tests.services.post_office import PostOffice


@pytest.fixture
def seed():
    """Another number each time; a failure shows it, and it may be written here instead."""
    number = random.SystemRandom().randrange(2**32)
    sys.stdout.write(f"seed: {number}\n")
    return number


@pytest.fixture
def open_office(transactional_db, tmp_path, seed):
    """Open a post office on the test's database; it is closed after the test."""
    offices = []

    def opened(*, redis_url="", lease=8.0):
        (tmp_path / "data").mkdir()
        offices.append(PostOffice(tmp_path, redis_url=redis_url, seed=seed, lease=lease))
        return offices[-1]

    yield opened
    for office in offices:
        office.close()
