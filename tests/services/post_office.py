"""A whole post office for a test: a mail server that counts, workers and clocks as processes."""

import json
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from aiosmtpd.controller import Controller
from django.db import connection
from django.utils import timezone

from coop.notices.kinds import AT_ONCE, all_kinds
from coop.notices.models import Mail, Matter, Notice
from coop.people.models import Coop, Household, Member, User
from coop.setup.environment import ROOT
from tests.ports import free_port
from tests.services.sender import is_all_sent

#: Far more than it ever takes; whoever waits ends as soon as there is nothing to wait for.
PATIENCE_SECONDS = 240
LOOK_SECONDS = 0.02
ALONE = ("--without-gossip", "--without-mingle", "--without-heartbeat")
HEADER = re.compile(rb"^(Message-ID|Date): (.*)\r\n", re.MULTILINE | re.IGNORECASE)


# ---- What is to be sent ---------------------------------------------------------------------
def _news() -> str:
    """A kind that is told at once, and of which several go in one letter."""
    return next(kind.code for kind in all_kinds() if kind.timings == AT_ONCE and not kind.by_hand)


def fill(letters: int, *, slug: str = "cottonwood", matters: int = 1) -> set[str]:
    """As many members, each with a notice of each matter that is due; their addresses."""
    now = timezone.now()
    coop = Coop.objects.create(name="Cottonwood Larder", slug=slug, altitude_ft=5430)
    household = Household.objects.create(coop=coop, name="Castell")
    users = User.objects.bulk_create(
        User(email=f"{slug}.{number}@example.test", name=f"Member {number}", password="!")
        for number in range(letters)
    )
    members = Member.objects.bulk_create(
        Member(coop=coop, household=household, user=user, name=user.name) for user in users
    )
    for number in range(matters):
        matter = _matter(household, number, now)
        Notice.objects.bulk_create(_notice(matter, member, now) for member in members)
    return {user.email for user in users}


def _matter(household: Household, number: int, now: datetime) -> Matter:
    return Matter.objects.create(
        coop=household.coop,
        kind=_news(),
        about=f"test:{number}",
        key=f"test:{number}/news",
        household=household,
        at=now,
        title=f"The peaches came ({number})",
        to_do="Fetch them from the barn.",
        path=f"/{household.coop.slug}/",
        button="Open it",
        made_at=now,
        changed_at=now,
    )


def _notice(matter: Matter, member: Member, now: datetime) -> Notice:
    return Notice(
        matter=matter,
        member=member,
        lead="0m",
        due_at=now,
        mail_at=now - timedelta(seconds=1),
        made_at=now,
    )


# ---- The mail server ------------------------------------------------------------------------
@dataclass
class Counted:
    """A real SMTP server that notes each letter before it says yes."""

    slow_seconds: float = 0.0
    chance: random.Random = field(default_factory=random.Random)
    #: (recipient, message id, date) of every letter, in the order they came.
    letters: list[tuple[str, str, str]] = field(default_factory=list)

    async def handle_DATA(self, server, session, envelope) -> str:
        found = {name.lower(): value for name, value in HEADER.findall(envelope.content)}
        (recipient,) = envelope.rcpt_tos
        self.letters.append(
            (recipient, found[b"message-id"].decode(), found[b"date"].decode()),
        )
        if self.slow_seconds:  # the instant in which a worker may be killed is made longer
            await server.loop.create_task(_wait(self.chance.uniform(0, self.slow_seconds)))
        return "250 Taken"


async def _wait(seconds: float) -> None:
    from asyncio import sleep

    await sleep(seconds)


# ---- The crew -------------------------------------------------------------------------------
class PostOffice:
    """Workers and clocks on the test's database, and the mail server that they hand letters to."""

    def __init__(
        self, folder: Path, *, redis_url: str = "", seed: int = 0, lease: float, **environment: str
    ) -> None:
        self.folder = folder
        self.chance = random.Random(seed)
        self.counted = Counted(slow_seconds=0.004, chance=random.Random(seed))
        self.server = Controller(self.counted, hostname="127.0.0.1", port=free_port())
        self.server.start()
        self.environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.services.worker_settings",
            "DATA_FOLDER": str(folder / "data"),
            "DATABASE_URL": _database_url(),
            "REDIS_URL": redis_url,
            "EMAIL_URL": f"smtp://127.0.0.1:{self.server.port}",
            "SECRET_KEY": "known-to-every-test-" * 3,
            "HTTPS": "off",
            "TEST_LEASE_SECONDS": str(lease),
            "PYTHONWARNINGS": "ignore",
            **environment,
        }
        self.log = folder / "log"
        self.workers: list[int] = []
        self.clocks: list[int] = []
        with self.log.open("w") as log:
            self.nursery = subprocess.Popen(
                [sys.executable, "-m", "tests.services.nursery"],
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
            )

    def _start(self, *arguments: str) -> int:
        self.nursery.stdin.write(json.dumps(arguments) + "\n")
        self.nursery.stdin.flush()
        return int(self.nursery.stdout.readline())

    def start_worker(self, *options: str) -> None:
        """One more worker, of two processes."""
        name = f"--hostname=w{self.chance.getrandbits(40)}@test"
        arguments = ("--concurrency=2", "--loglevel=WARNING", name, *ALONE, *options)
        self.workers.append(self._start("--quiet", "worker", *arguments))

    def start_clock(self) -> None:
        """One more clock."""
        self.clocks.append(self._start("--quiet", "beat", "--pidfile=", "--loglevel=WARNING"))

    def kill_a_worker(self) -> None:
        """SIGKILL for one of the workers and all its group, by chance; another takes its place."""
        self._kill(self.workers.pop(self.chance.randrange(len(self.workers))))
        self.start_worker()

    def kill_workers(self) -> None:
        """SIGKILL for all workers."""
        while self.workers:
            self._kill(self.workers.pop())

    def send(self, *what: str) -> float:
        """Send something from a process of its own (see `sender`); how many seconds it took."""
        command = [sys.executable, "-m", "tests.services.sender", *what]
        done = subprocess.run(
            command,
            cwd=ROOT,
            env=self.environment,
            capture_output=True,
            text=True,
            check=True,
            timeout=PATIENCE_SECONDS,
        )
        return float(done.stdout)

    def _kill(self, leader: int) -> None:
        with suppress(ProcessLookupError):
            os.killpg(leader, signal.SIGKILL)

    # ---- Waiting --------------------------------------------------------------------------
    def wait_until(self, is_so: Callable[[], bool]) -> None:
        """Look until it is so; fail with what the workers logged when it takes far too long."""
        deadline = time.monotonic() + PATIENCE_SECONDS
        while not is_so():
            assert time.monotonic() < deadline, self.log.read_text()[-4000:]
            time.sleep(LOOK_SECONDS)

    def wait_for_letters(self, count: int) -> None:
        """Wait until the mail server has had so many."""
        self.wait_until(lambda: len(self.counted.letters) >= count)

    def wait_until_all_is_written_down(self) -> None:
        """Wait until no notice and no letter waits any more."""
        self.wait_until(is_all_sent)

    def close(self) -> None:
        """End the crew, let the carriers end, and see that nothing of it is left."""
        if self.nursery.poll() is not None:
            return
        for leader in (*self.clocks, *self.workers):
            self._kill(leader)
        self.nursery.communicate()  # its input ends, and so does it
        self.wait_until(lambda: not self.carriers())
        self.server.stop()

    # ---- Carriers -------------------------------------------------------------------------
    def carriers(self) -> list[int]:
        """The processes of this office that lead a session and are neither worker nor clock."""
        known = {self.nursery.pid, *self.workers, *self.clocks}
        mark = f"DATA_FOLDER={self.folder / 'data'}".encode()
        return [pid for pid in _leaders() if pid not in known and mark in _environment(pid)]

    # ---- What came ------------------------------------------------------------------------
    def twice(self) -> dict[str, set[tuple[str, str, str]]]:
        """Recipients to whom more than one letter came, with what these were."""
        counts = Counter(recipient for recipient, _, _ in self.counted.letters)
        came = defaultdict(set)
        for letter in self.counted.letters:
            if counts[letter[0]] > 1:
                came[letter[0]].add(letter)
        return came

    def assert_each_came_once(self, addresses: set[str]) -> None:
        """Each of them got one letter, which is written down as sent, and nobody another."""
        assert not self.twice()
        assert {recipient for recipient, _, _ in self.counted.letters} == addresses
        sent = {f"<{mail.uuid}@localhost>" for mail in Mail.objects.exclude(sent_at=None)}
        assert {message_id for _, message_id, _ in self.counted.letters} == sent
        assert not Notice.objects.filter(mail=None).exists()


def _database_url() -> str:
    database = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{database['NAME']}"
    user, password = database["USER"], database["PASSWORD"]
    host = f"{database['HOST']}:{database['PORT'] or 5432}"
    return f"postgres://{user}{':' + password if password else ''}@{host}/{database['NAME']}"


def _leaders() -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdecimal():
            pid = int(entry.name)
            with suppress(OSError):
                if os.getsid(pid) == pid:
                    found.append(pid)
    return found


def _environment(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/environ").read_bytes()
    except OSError:
        return b""
