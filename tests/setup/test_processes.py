"""Children that are started, watched and ended; each is a small Python that really runs."""

import os
import signal
import sys

import pytest

from coop.setup.processes import Processes, Task

SLEEPER = "import time; time.sleep(60)"
DEAF = "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); time.sleep(60)"


@pytest.fixture
def processes(tmp_path):
    family = Processes(tmp_path, os.environ)
    yield family
    family.end(seconds=0)


def python(name: str, code: str) -> Task:
    return Task(name, [sys.executable, "-c", code])


def test_a_child_that_dies_is_named(processes):
    processes.start(python("lasting", SLEEPER))
    processes.start(python("brief", "pass"))
    assert processes.wait() == ["brief"]


def test_a_child_that_is_killed_is_started_again(processes):
    processes.start(python("lasting", SLEEPER))
    (killed,) = processes.children
    said = []

    def told(sentence):
        said.append(sentence)
        processes.asked_to_end.set()

    os.kill(killed.process.pid, signal.SIGKILL)
    assert processes.wait(steady=0.0, told=told) == []
    assert said == ["The lasting ended by itself and was started again."]
    assert processes.ended() == []
    assert processes.children[0].process.pid != killed.process.pid


def test_every_child_ends_when_asked(processes):
    processes.start(python("one", SLEEPER))
    processes.start(python("two", SLEEPER))
    processes.end(seconds=10)
    assert sorted(processes.ended()) == ["one", "two"]


def test_a_child_that_does_not_listen_is_ended_all_the_same(processes, tmp_path):
    ready = tmp_path / "ready"
    processes.start(
        python("deaf", DEAF.replace("time.sleep", f"open({str(ready)!r}, 'w'); time.sleep"))
    )
    assert processes.wait_until(ready.exists, seconds=20)
    processes.end(seconds=0.2)
    assert processes.ended() == ["deaf"]


def test_a_signal_ends_the_wait_and_blames_nobody(processes):
    before = {
        name: signal.getsignal(name) for name in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    }
    try:
        processes.listen()
        processes.start(python("lasting", SLEEPER))
        os.kill(os.getpid(), signal.SIGTERM)
        assert processes.wait() == []
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def test_waiting_for_what_never_comes_ends_with_the_child(processes):
    processes.start(python("brief", "pass"))
    assert not processes.wait_until(lambda: False, seconds=20)
