"""The clock that wakes the workers: Celery's, with a file for itself.

Celery's clock keeps in a file when it last woke whom. Two clocks that share one end each other, so
each takes the first file that no other holds, for as long as it lives.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import IO

from celery.beat import PersistentScheduler

if sys.platform != "win32":
    import fcntl

MOST_CLOCKS = 100


class Clock(PersistentScheduler):
    """Keeps `beat`, or where another clock holds that `beat-2`, and so on."""

    schedule_filename: str
    held: IO[str]

    def setup_schedule(self) -> None:
        """Take a file, then do as Celery does."""
        self.schedule_filename, self.held = take_a_file(Path(self.schedule_filename))
        super().setup_schedule()


def take_a_file(first: Path) -> tuple[str, IO[str]]:
    """The first of `first`, `first-2`, ... that nobody holds, and what holds it until it closes.

    Raises RuntimeError where a hundred are held.
    """
    for number in range(1, MOST_CLOCKS + 1):
        path = first if number == 1 else first.with_name(f"{first.name}-{number}")
        lock = path.with_name(f"{path.name}.lock").open("a", encoding="utf-8")
        if _hold(lock):
            return str(path), lock
        lock.close()
    raise RuntimeError(f"{MOST_CLOCKS} clocks keep files beside {first}.")


def _hold(lock: IO[str]) -> bool:
    """Whether the file is ours now. On Windows nobody looks: there `start` runs one clock."""
    if sys.platform == "win32":
        return True
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
