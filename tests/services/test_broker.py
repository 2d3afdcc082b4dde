"""Both brokers carry a task from whoever sends it to one worker, once."""

from pathlib import Path

import pytest
from celery import Celery
from kombu import Exchange, Queue

from coop.setup.broker import folder_transport

QUIET_SECONDS = 1


@pytest.fixture(params=["folder", "redis"])
def broker(request, tmp_path):
    """A Celery application on a broker of its own, set up as the settings do."""
    if request.param == "redis":
        app = Celery("test", broker=request.getfixturevalue("redis_url"))
    else:
        app = Celery("test", broker="folder://localhost//")
        app.conf.broker_transport_options = folder_transport(tmp_path)
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


# ---- The folder ---------------------------------------------------------------------------
@pytest.fixture
def folder(tmp_path):
    """A Celery application on a folder, and where its messages lie."""
    app = Celery("test", broker="folder://localhost//")
    app.conf.broker_transport_options = folder_transport(tmp_path)
    yield app, tmp_path / "messages"
    app.close()


def tear(path: Path) -> None:
    """What a writer leaves that is killed while it writes."""
    path.write_text(path.read_text()[:40])


def test_a_message_that_is_torn_is_left_out_and_the_next_is_taken(folder):
    app, messages = folder
    app.send_task("torn")
    tear(next(messages.iterdir()))
    app.send_task("whole")
    assert taken(app) == ["whole"]
    assert list(messages.iterdir()) == []


def test_kombus_own_transport_ends_at_a_torn_message(folder):
    """The reason for ours: once this fails, ours can go."""
    app, messages = folder
    app.send_task("torn")
    tear(next(messages.iterdir()))
    theirs = Celery("test", broker="filesystem://localhost//")
    theirs.conf.broker_transport_options = app.conf.broker_transport_options
    with pytest.raises(ValueError, match=r"Expecting|Unterminated"):
        taken(theirs)
    theirs.close()


def test_a_message_is_not_seen_before_it_is_whole(folder, monkeypatch):
    app, messages = folder
    seen = []
    replace = Path.replace

    def look_first(self, target):
        seen.extend(messages.glob("*.msg"))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", look_first)
    app.send_task("tick")
    assert seen == []
    assert taken(app) == ["tick"]


def test_a_table_that_is_torn_is_written_anew(folder, tmp_path):
    app, _ = folder
    (tmp_path / "control" / "news.exchange").write_text("")
    with app.connection_for_read() as connection:
        channel = connection.default_channel
        Queue("letters", Exchange("news"), routing_key="new")(channel).declare()
        assert [bound.queue for bound in channel.get_table("news")] == ["letters"]


def test_messages_come_in_the_order_of_their_sending(folder):
    app, _ = folder
    names = [f"task {number}" for number in range(20)]
    for name in names:
        app.send_task(name)
    assert taken(app) == names
