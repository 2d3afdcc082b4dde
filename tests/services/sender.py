"""Sends from a process of its own, on the broker of a post office, and says how long it all took.

`sender.py tasks 100`: so many tasks that do nothing. `sender.py notices`: all that is due.
"""

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

LOOK_SECONDS = 0.005


def main(what: str, count: int = 0) -> None:
    """Send, wait until all is done, and write the seconds."""
    import django

    django.setup()
    from coop.notices import tasks
    from tests.services.nowhere import nothing

    nothing.delay()
    until(lambda: waiting() == 0)  # a worker is there, and both are warm
    start = time.perf_counter()
    if what == "tasks":
        for _ in range(count):
            nothing.delay()
        until(lambda: waiting() == 0)
    else:
        tasks.tick()
        until(is_all_sent)
    sys.stdout.write(f"{time.perf_counter() - start}\n")


def until(is_so: Callable[[], bool]) -> None:
    """Look until it is so."""
    while not is_so():
        time.sleep(LOOK_SECONDS)


def waiting() -> int:
    """How many messages wait or are in a worker's hand."""
    from redis import Redis

    if not os.environ["REDIS_URL"]:
        return len(list(Path(os.environ["DATA_FOLDER"], "broker", "messages").iterdir()))
    with Redis.from_url(os.environ["REDIS_URL"]) as server:
        return server.llen("celery") + server.hlen("unacked")


def is_all_sent() -> bool:
    """Whether every notice is in a letter, and every letter is sent."""
    from coop.notices.models import Mail, Notice

    unsent, ungathered = Mail.objects.filter(sent_at=None), Notice.objects.filter(mail=None)
    return not (ungathered.exists() or unsent.exists())


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
