"""Both brokers carry a task from whoever sends it to one worker, once."""

import pytest
from celery import Celery

from coop.setup.broker import filesystem_transport

QUIET_SECONDS = 1


@pytest.fixture(params=["filesystem", "redis"])
def broker(request, tmp_path):
    """A Celery application on a broker of its own, set up as the settings do."""
    if request.param == "redis":
        app = Celery("test", broker=request.getfixturevalue("redis_url"))
    else:
        app = Celery("test", broker="filesystem://localhost//")
        app.conf.broker_transport_options = filesystem_transport(tmp_path)
    yield app
    app.close()


def taken(app: Celery) -> list[str]:
    """Take what waits in the queue, as a worker would: names of the tasks."""
    names: list[str] = []
    with app.connection_for_read() as connection:
        queue = connection.SimpleQueue("celery")
        try:
            while True:
                message = queue.get(timeout=QUIET_SECONDS)
                names.append(message.headers["task"])
                message.ack()
        except queue.Empty:
            return names
        finally:
            queue.close()


def test_what_is_sent_before_any_worker_is_there_waits(broker):
    broker.send_task("tick")
    assert taken(broker) == ["tick"]


def test_a_task_is_taken_once(broker):
    broker.send_task("tick")
    taken(broker)
    assert taken(broker) == []


def test_a_burst_of_tasks_loses_none(broker):
    names = [f"task {number}" for number in range(20)]
    for name in names:
        broker.send_task(name)
    # In any order: the filesystem transport sorts by the millisecond, and chance within it.
    assert sorted(taken(broker)) == sorted(names)


def test_two_workers_share_the_work_and_repeat_none(broker):
    for number in range(6):
        broker.send_task(f"task {number}")
    with broker.connection_for_read() as one, broker.connection_for_read() as two:
        queues = [connection.SimpleQueue("celery") for connection in (one, two)]
        messages = [queue.get(timeout=QUIET_SECONDS) for queue in queues * 3]
        names = [message.headers["task"] for message in messages]
        for message in messages:
            message.ack()
        for queue in queues:
            queue.close()
    assert sorted(names) == [f"task {number}" for number in range(6)]


def test_only_json_is_sent(broker):
    broker.conf.task_serializer = "json"
    with pytest.raises(Exception, match=r"JSON|serializable"):
        broker.send_task("tick", args=[object()])
