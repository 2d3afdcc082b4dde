"""Starts workers and clocks within a moment: it imports everything once, and forks each of them.

Each line of its input is the arguments of one, as JSON; it answers with the number of the process,
which leads a group and a session of its own, as one that was started from a shell does.
"""

import json
import os
import signal
import sys
from contextlib import suppress


def main() -> None:
    """Fork one for each line. When there are no more, whoever asked is gone, and so are these."""
    import django

    django.setup()
    from coop.celery import app

    app.loader.import_default_modules()
    children = []
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            be_one(app, json.loads(line))
        children.append(child)
        sys.stdout.write(f"{child}\n")
        sys.stdout.flush()
    for child in children:
        with suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)


def be_one(app, arguments: list[str]) -> None:
    """Become a worker or a clock. Never returns."""
    try:
        os.setsid()
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(2, 1)  # the nursery's output is for the numbers alone
        app.start(arguments)
    finally:
        os._exit(1)


if __name__ == "__main__":
    main()
