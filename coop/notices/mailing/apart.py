"""Carries a batch in a process of its own, which the end of the worker does not reach.

Between the mail server's yes and its writing down lies an instant, and SMTP knows no way to ask
afterwards. A worker may be killed in that instant, with all its group. So it forks a carrier,
which leads a session of its own, and waits for it. A carrier whose worker is gone finishes the
letter in hand, writes it down, lets anybody take the rest, and ends.
"""

from __future__ import annotations

import logging
import os
import signal
import stat
import sys
import threading
import uuid
from contextlib import suppress
from pathlib import Path
from types import FrameType

from django.db import connections

from coop.notices.mailing.carrier import carry, patiently
from coop.notices.mailing.claiming import give_back

log = logging.getLogger(__name__)

ENDING_SIGNALS = ("SIGTERM", "SIGINT", "SIGHUP", "SIGQUIT")
#: What a process is told and tells by: input, output, errors. Above it is what it opened.
LAST_STANDARD = 2


def carry_apart(token: uuid.UUID) -> None:
    """Carry what a token holds, in a carrier where one can be forked, and wait until it is done.

    Elsewhere (on Windows, or where this process has more threads, whose locks a fork would copy
    as they are) this process carries, and if it is killed, a letter may go twice.
    """
    if not hasattr(os, "fork") or threading.active_count() > 1:
        carry(token)
        return
    connections.close_all()  # two processes on one connection would talk at once
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    worker = os.getpid()
    carrier = os.fork()
    if carrier == 0:
        _be_the_carrier(token, worker)
    with suppress(ChildProcessError):  # somebody else may have asked how it ended
        _, status = os.waitpid(carrier, 0)
        if status:
            log.error("A carrier of mail ended with %s", os.waitstatus_to_exitcode(status))
            patiently(lambda: give_back(token))


def _be_the_carrier(token: uuid.UUID, worker: int) -> None:
    """Never returns: what the worker would do next is not the carrier's to do."""
    code = 1
    try:
        os.setsid()
        stop = Stop(worker)
        _let_go()
        carry(token, asked_to_stop=stop, alarmed=True)
        code = 0
    except BaseException:
        log.exception("A carrier of mail failed")
    finally:
        with suppress(Exception):
            connections.close_all()
        os._exit(code)


class Stop:
    """Whether to stop after this letter: the worker is gone, or somebody asked the carrier."""

    def __init__(self, worker: int) -> None:
        self.worker = worker
        self.asked = False
        for name in ENDING_SIGNALS:
            signal.signal(getattr(signal, name), self._ask)

    def _ask(self, number: int, frame: FrameType | None) -> None:
        self.asked = True

    def __call__(self) -> bool:
        """Look; whoever lost its parent has another."""
        return self.asked or os.getppid() != self.worker


def _let_go() -> None:
    """Hold none of the worker's sockets and pipes: others see by their closing that it has ended.

    The numbers stay taken, by nothing: an object of the worker that is tidied away later closes
    its number, and must not close what the carrier has opened by then.
    """
    nothing = os.open(os.devnull, os.O_RDWR)
    for entry in list(Path("/dev/fd").iterdir()):
        number = int(entry.name)
        if number <= LAST_STANDARD or number == nothing:
            continue
        with suppress(OSError):  # the one that listed them is closed by now
            mode = os.fstat(number).st_mode
            if stat.S_ISSOCK(mode) or stat.S_ISFIFO(mode):
                os.dup2(nothing, number)
