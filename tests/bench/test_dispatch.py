"""How many notices a second go out, up to the mail server, against bare Celery tasks that do
nothing: on the same broker, by as many workers, in the same run. By hand: tests/bench -n0.

A notice is gathered, its letter claimed, handed over by the broker, composed, and written down as
sent. Celery's tasks are sent one by one and run. A member has one notice: the dearest case, for
what is due to one person at one moment goes in one letter.
"""

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from coop.notices.models import Mail
from tests.services.post_office import PostOffice, fill

pytestmark = [pytest.mark.slow, pytest.mark.either, pytest.mark.django_db(transaction=True)]
MANY, FEW = 2000, 100  # measured, and in passing
AT_LEAST = 0.5


@pytest.fixture(params=["redis", "folder"])
def office(request, tmp_path):
    """A post office on each broker, whose mail server takes every letter at once."""
    url = request.getfixturevalue("redis_url") if request.param == "redis" else ""
    backend = "tests.services.nowhere.EmailBackend"
    opened = PostOffice(tmp_path, redis_url=url, lease=300, TEST_EMAIL_BACKEND=backend)
    yield opened
    opened.close()


def test_notices_go_out_at_half_the_rate_of_tasks_that_do_nothing_or_better(
    benchmark: BenchmarkFixture, office: PostOffice
) -> None:
    count = MANY if benchmark.enabled else FEW
    office.start_worker("--prefetch-multiplier=4")  # as Celery has it by default
    bare = count / office.send("tasks", str(count))
    office.kill_workers()
    office.start_worker()
    fill(count)
    notices = count / benchmark.pedantic(office.send, ("notices",))
    assert Mail.objects.exclude(sent_at=None).count() == count
    benchmark.extra_info |= {"bare": round(bare), "notices": round(notices)}
    if benchmark.enabled:
        assert notices / bare >= AT_LEAST
