"""Making .venv and installing the locked packages, with a runner that only pretends."""

import importlib.util
import subprocess
from pathlib import Path

import pytest

from coop.setup.environment import (
    NO_NETWORK,
    NO_VENV,
    WRONG_HASH,
    Environment,
    Stopped,
    why_not_installed,
)

LOCK = "django==5.2.0 \\\n    --hash=sha256:00\n"


class Pretender:
    """Stands in for subprocess.run: notes each command, and answers as told."""

    def __init__(self) -> None:
        self.commands: list[list[str]] = []
        self.code, self.said = 0, ""

    def __call__(self, command: list[str], **options: object) -> subprocess.CompletedProcess[str]:
        self.commands.append(command)
        if "venv" in command:
            folder = Path(command[-1])
            for path in (folder / "bin/python", folder / "lib/python3/site-packages/pip/x"):
                path.parent.mkdir(parents=True, exist_ok=True)
                path.touch()
        return subprocess.CompletedProcess(command, self.code, self.said)


@pytest.fixture
def pretender() -> Pretender:
    return Pretender()


@pytest.fixture
def environment(tmp_path: Path, pretender: Pretender) -> Environment:
    locks = tmp_path / "locks"
    locks.mkdir()
    for name in ("run", "test"):
        (locks / f"{name}.txt").write_text(LOCK, encoding="utf-8")
    return Environment(tmp_path / ".venv", locks, pretender)


def test_a_first_start_makes_the_environment_and_installs_by_hash_and_wheel_alone(
    environment, pretender
):
    environment.ready(("run",))
    made, installed = pretender.commands
    assert made[1:3] == ["-m", "venv"]
    assert {"--require-hashes", "--only-binary=:all:"} <= set(installed)


def test_a_second_start_installs_nothing(environment, pretender):
    environment.ready(("run",))
    environment.ready(("run",))
    assert len(pretender.commands) == 2


def test_a_new_lock_is_installed_into_the_old_environment(environment, pretender):
    environment.ready(("run",))
    (environment.locks / "run.txt").write_text(LOCK * 2, encoding="utf-8")
    environment.ready(("run",))
    assert ["pip" in command for command in pretender.commands] == [False, True, True]


def test_who_can_test_can_start(environment, pretender):
    environment.ready(("test", "run"))
    assert environment.has("run")


def test_a_failed_install_leaves_no_stamp_and_is_tried_again(environment, pretender):
    environment.ready(("run",))
    (environment.locks / "run.txt").write_text(LOCK * 2, encoding="utf-8")
    pretender.code, pretender.said = 1, "ERROR: no space left on device"
    with pytest.raises(Stopped, match="no space left"):
        environment.ready(("run",))
    assert not environment.has("run")


def test_a_python_without_venv_is_told_what_to_install(environment, monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(Stopped) as stopped:
        environment.ready(("run",))
    assert str(stopped.value) == NO_VENV


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("Retrying after connection broken by NewConnectionError", NO_NETWORK),
        ("Temporary failure in name resolution\nERROR: No matching distribution", NO_NETWORK),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES", WRONG_HASH),
    ],
)
def test_what_pip_says_becomes_a_sentence(said, sentence):
    assert why_not_installed(said) == sentence


def test_a_machine_without_ready_made_packages_is_named():
    sentence = why_not_installed("ERROR: No matching distribution found for numpy==9")
    assert "is not made for Python 3" in sentence
    assert "numpy==9" in sentence
