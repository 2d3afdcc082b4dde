"""Starts workers and clocks within a moment: it imports everything once, and forks each of them.

Each line of its input is the arguments of one, as JSON; it answers with the number of the process,
which leads a group and a session of its own, as one that was started from a shell does.
"""

import json
import os
import sys


def main() -> None:
    """Fork one for each line, until there are no more."""
    import django

    django.setup()
    from coop.celery import app

    app.loader.import_default_modules()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            be_one(app, json.loads(line))
        sys.stdout.write(f"{child}\n")
        sys.stdout.flush()


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
