"""Runs a few processes side by side until one ends or somebody asks to stop."""

import os
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

IS_WINDOWS = os.name == "nt"
ENDING_SIGNALS = [
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGBREAK") if hasattr(signal, name)
]
PATIENCE_SECONDS = 8.0
LOOK_SECONDS = 0.1
#: A child that ran so long before it ended can run: it is started again. One that did not, cannot.
STEADY_SECONDS = 10.0


@dataclass(frozen=True)
class Task:
    """One process to run, and the signal that asks it to end well."""

    name: str
    command: list[str]
    end_signal: int = signal.SIGTERM


@dataclass(frozen=True)
class Child:
    """A task as it runs, and since when by the monotonic clock."""

    task: Task
    process: "subprocess.Popen[bytes]"
    since: float


@dataclass
class Processes:
    """Children of this process, each in a group of its own, so that Ctrl-C reaches only us."""

    folder: Path
    environment: Mapping[str, str]
    asked_to_end: threading.Event = field(default_factory=threading.Event)
    children: list["Child"] = field(default_factory=list)

    def listen(self) -> None:
        """End well on Ctrl-C, and when a service manager says so."""
        for number in ENDING_SIGNALS:
            signal.signal(number, self._ask)
        hang_up = getattr(signal, "SIGHUP", None)
        if hang_up and signal.getsignal(hang_up) != signal.SIG_IGN:  # nohup says: go on
            signal.signal(hang_up, self._ask)

    def _ask(self, number: int, frame: FrameType | None) -> None:
        self.asked_to_end.set()

    def start(self, task: Task) -> None:
        """Start one more."""
        child = subprocess.Popen(
            task.command,
            cwd=self.folder,
            env=dict(self.environment),
            start_new_session=not IS_WINDOWS,
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        self.children.append(Child(task, child, time.monotonic()))

    def wait_until(self, is_ready: Callable[[], bool], *, seconds: float) -> bool:
        """Wait for `is_ready`; False when we are asked to end, a child ends, or time is up."""
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline and not self.ended() and not self.asked_to_end.is_set():
            if is_ready():
                return True
            self.asked_to_end.wait(LOOK_SECONDS)
        return False

    def wait(
        self, *, steady: float = STEADY_SECONDS, told: Callable[[str], object] = print
    ) -> list[str]:
        """Wait until we are asked to end (returns nothing) or a child cannot run (its name).

        A child that ended after it ran for `steady` seconds was killed, or met something rare: it
        is started again, and `told` gets a sentence.
        """
        while not self.asked_to_end.wait(LOOK_SECONDS):
            ended = [child for child in self.children if child.process.poll() is not None]
            brief = [each for each in ended if time.monotonic() - each.since < steady]
            if brief:
                return [child.task.name for child in brief]
            for child in ended:
                self.children.remove(child)
                self.start(child.task)
                told(f"The {child.task.name} ended by itself and was started again.")
        return []

    def ended(self) -> list[str]:
        """Names of the children that are no more."""
        return [child.task.name for child in self.children if child.process.poll() is not None]

    def end(self, *, seconds: float = PATIENCE_SECONDS) -> None:
        """Ask every child to end; after `seconds` stop asking."""
        running = [child for child in self.children if child.process.poll() is None]
        for child in running:
            with suppress(OSError):
                if IS_WINDOWS:
                    child.process.terminate()
                else:
                    child.process.send_signal(child.task.end_signal)
        deadline = time.monotonic() + seconds
        for child in running:
            try:
                child.process.wait(max(0.0, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                _kill(child.process)


def _kill(child: "subprocess.Popen[bytes]") -> None:
    with suppress(OSError):
        child.kill() if IS_WINDOWS else os.killpg(child.pid, signal.SIGKILL)
    child.wait()
