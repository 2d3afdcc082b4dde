"""Sends a command of `manage.py` to where it belongs."""

import os
import subprocess
import sys
from collections.abc import Callable, Sequence

from coop.setup.environment import ROOT, Environment, Stopped
from coop.setup.start import start
from coop.setup.testing import test

OURS: dict[str, Callable[[Sequence[str]], int]] = {"start": start, "test": test}
NO_PACKAGES = "Nothing is installed yet: run python3 manage.py start (or test) once."
HELP = """Many Larders

  python3 manage.py start [--port 8000] [--host 127.0.0.1] [--no-demo]
      makes what is missing, then runs the site, its worker and its clock until Ctrl-C
  python3 manage.py test [--require-all] [pytest's arguments]
      checks everything, on SQLite and, where there is one, on PostgreSQL
  python3 manage.py COMMAND
      any command of Django; `manage.py help --commands` lists them
"""


def main(arguments: Sequence[str], django: Callable[[], int]) -> int:
    """Run one command and return its exit code; a `Stopped` becomes one sentence."""
    name = arguments[0] if arguments else "help"
    if name in {"help", "--help", "-h"} and len(arguments) < 2:  # noqa: PLR2004
        print(HELP, end="")
        return 0
    try:
        return OURS[name](arguments[1:]) if name in OURS else _inside(arguments, django)
    except Stopped as stopped:
        print(stopped, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130  # as a shell counts it: 128 and the number of the signal


def _inside(arguments: Sequence[str], django: Callable[[], int]) -> int:
    environment = Environment()
    if environment.is_current():
        return django()
    if not environment.python.exists():
        raise Stopped(NO_PACKAGES)
    command = [str(environment.python), str(ROOT / "manage.py"), *arguments]
    if os.name != "nt":  # there, a process that replaces itself returns to the prompt too soon
        os.execv(command[0], command)
    return subprocess.run(command, check=False).returncode
