"""Makes `.venv` and installs the locked packages into it, with the standard library alone."""

import hashlib
import importlib.util
import os
import platform
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LOCKS = ROOT / "coop" / "locks"
# The longer lock holds all of the shorter one, so that who can test can also start.
RUN, TEST = ("run",), ("test", "run")

NO_VENV = (
    "This Python has no venv module. Install it (on Debian and Ubuntu: apt install python3-venv) "
    "and run the command again."
)
NO_NETWORK = (
    "The packages could not be fetched, because the package index could not be reached. Connect "
    "this machine to the network and run the command again."
)
WRONG_HASH = (
    "A package that was fetched is not the one that the lock names, so nothing was installed. "
    "Somebody changed it on the way here, or the lock is damaged."
)
SIGNS_OF_NO_NETWORK = (
    "connection",
    "timed out",
    "name resolution",
    "name or service not known",
    "getaddrinfo failed",
    "network is unreachable",
    "max retries exceeded",
    "proxyerror",
)
Run = Callable[..., "subprocess.CompletedProcess[str]"]


class Stopped(Exception):
    """Ends the command; its text is the one sentence that the person reads."""


@dataclass(frozen=True)
class Environment:
    """A virtual environment in `folder`, and the `locks` beside it that say what it holds."""

    folder: Path = ROOT / ".venv"
    locks: Path = LOCKS
    run: Run = subprocess.run

    @property
    def python(self) -> Path:
        """The interpreter inside."""
        inside = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
        return self.folder.joinpath(*inside)

    def is_current(self) -> bool:
        """Whether this very process runs inside."""
        return Path(sys.prefix).resolve() == self.folder.resolve()

    def has(self, lock: str) -> bool:
        """Whether what stands in the lock is what was installed."""
        stamp = self._stamp(lock)
        return (
            self.python.exists()
            and stamp.exists()
            and stamp.read_text(encoding="ascii") == self._hash(lock)
        )

    def ready(self, locks: tuple[str, ...]) -> None:
        """Make the environment and install the first of `locks`, unless that was done before."""
        if self.has(locks[0]):
            return
        if not self._can_install():
            self._make()
        self._install(locks[0])
        for lock in locks:
            self._stamp(lock).write_text(self._hash(lock), encoding="ascii")

    def _stamp(self, lock: str) -> Path:
        return self.folder / f"installed-{lock}"

    def _hash(self, lock: str) -> str:
        return hashlib.sha256((self.locks / f"{lock}.txt").read_bytes()).hexdigest()

    def _can_install(self) -> bool:
        return self.python.exists() and any(self.folder.glob("[lL]ib/**/site-packages/pip"))

    def _make(self) -> None:
        if not all(importlib.util.find_spec(name) for name in ("venv", "ensurepip")):
            raise Stopped(NO_VENV)
        print("Making .venv …", flush=True)
        made = self._said([sys.executable, "-m", "venv", "--clear", str(self.folder)])
        if made.returncode:
            raise Stopped(NO_VENV if "ensurepip" in made.stdout else _last_words(made.stdout))

    def _install(self, lock: str) -> None:
        path = self.locks / f"{lock}.txt"
        count = path.read_text(encoding="utf-8").count("==")
        print(f"Installing {count} locked packages, once …", flush=True)
        only_locked = ["--require-hashes", "--only-binary=:all:", f"--requirement={path}"]
        quick_to_say_no = ["--no-input", "--disable-pip-version-check", "--retries=2"]
        installed = self._said(
            [str(self.python), "-m", "pip", "install", *only_locked, *quick_to_say_no]
        )
        (self.folder / "install.log").write_text(installed.stdout, encoding="utf-8")
        if installed.returncode:
            raise Stopped(why_not_installed(installed.stdout))

    def _said(self, command: list[str]) -> "subprocess.CompletedProcess[str]":
        return self.run(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            check=False,
        )


def why_not_installed(said: str) -> str:
    """Turn what pip said into a sentence with something to do."""
    lower = said.lower()
    if "do not match the hashes" in lower:
        return WRONG_HASH
    if any(sign in lower for sign in SIGNS_OF_NO_NETWORK):
        return NO_NETWORK
    if "no matching distribution" in lower:
        machine = f"Python {platform.python_version()} on {platform.system()} {platform.machine()}"
        return f"A package that is needed is not made for {machine}. {_last_words(said)}"
    return (
        f"The packages could not be installed. {_last_words(said)} (All of it: .venv/install.log)"
    )


def _last_words(said: str) -> str:
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith("ERROR")]
    return (errors or lines or ["No reason was given."])[-1]
