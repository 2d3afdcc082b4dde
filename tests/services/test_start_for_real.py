"""`manage.py start` as a person runs it: real processes, a real database, a real broker."""

import os
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest

from coop.setup.environment import ROOT
from coop.setup.processes import Processes
from tests.ports import free_port

pytestmark = pytest.mark.slow
UP_SECONDS, END_SECONDS = 90, 20

# A session of yesterday, a task that drops such sessions, and a look whether the worker did.
HAND_OVER = """
import time
from datetime import timedelta
from django.contrib.sessions.models import Session
from django.utils import timezone
from coop.people.tasks import drop_expired_sessions
old = timezone.now() - timedelta(days=1)
Session.objects.create(session_key="old", session_data="", expire_date=old)
drop_expired_sessions.delay()
deadline = time.monotonic() + 30
while (left := Session.objects.filter(pk="old").exists()) and time.monotonic() < deadline:
    time.sleep(0.1)
print("left" if left else "dropped")
"""


class Site:
    """A started site: its address, its settings and its process."""

    def __init__(self, variables: dict[str, str], *, log: Path, port: int) -> None:
        self.port, self.log = port, log
        self.variables = {**os.environ, "DJANGO_SETTINGS_MODULE": "coop.settings", **variables}
        self.process = self._run("start", "--no-demo", f"--port={self.port}")

    def _run(self, *arguments: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "manage.py", *arguments]
        with self.log.open("a") as log:
            return subprocess.Popen(
                command, cwd=ROOT, env=self.variables, stdout=log, stderr=subprocess.STDOUT
            )

    def wait_until_up(self) -> None:
        """Wait for the line that tells the address."""
        watch = Processes(ROOT, {})
        told = watch.wait_until(
            lambda: "Ctrl-C" in self.log.read_text() or self.process.poll() is not None,
            seconds=UP_SECONDS,
        )
        assert told
        assert self.process.poll() is None, self.log.read_text()

    def get(self, path: str) -> int:
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=20) as answer:
            return answer.status

    def shell(self, code: str) -> str:
        return subprocess.run(
            [sys.executable, "manage.py", "shell", "--no-imports", "-c", code],
            cwd=ROOT,
            env=self.variables,
            capture_output=True,
            text=True,
            check=True,
        ).stdout.strip()

    def end(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(END_SECONDS)


@pytest.fixture
def start(tmp_path):
    """Start a site with its own data folder, and see to it that it ends."""
    sites = []

    def started(port: int = 0, **variables: str) -> Site:
        variables = {"DATA_FOLDER": str(tmp_path / "data"), **variables}
        log = tmp_path / f"log {len(sites)}"
        sites.append(Site(variables, log=log, port=port or free_port()))
        sites[-1].wait_until_up()
        return sites[-1]

    yield started
    for site in sites:
        if site.process.poll() is None:
            site.process.terminate()
            site.process.wait(END_SECONDS)


@pytest.fixture
def database_url():
    """An empty PostgreSQL database of this test alone."""
    server = urlsplit(os.environ["DATABASE_URL"])
    name = f"larders_start_{os.getpid()}"
    with psycopg.connect(urlunsplit(server), autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        yield urlunsplit(server._replace(path=f"/{name}"))
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def test_one_command_serves_pages_and_works_in_the_background(start):
    site = start(DATABASE_URL="")
    assert site.get("/account/login/") == 200
    assert site.shell(HAND_OVER) == "dropped"
    assert site.end() == 0
    assert "Stopped." in site.log.read_text()
    again = start(site.port, DATABASE_URL="")  # its port is free again
    assert again.get("/account/login/") == 200


@pytest.mark.postgres
def test_two_variables_move_it_to_postgresql_and_redis(start, database_url, redis_url):
    site = start(DATABASE_URL=database_url, REDIS_URL=redis_url, SECRET_KEY="a secret of ours" * 4)
    assert site.get("/account/login/") == 200
    assert site.shell(HAND_OVER) == "dropped"
    assert site.end() == 0
