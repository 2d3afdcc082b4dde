"""manage.py as a person meets it, before and after anything is installed."""

import shutil
import subprocess
import sys

import pytest

from coop.setup import command
from coop.setup.environment import ROOT
from coop.setup.testing import _side_by_side


@pytest.fixture
def bare_copy(tmp_path):
    """The files that run before any package is there, and nothing else."""
    shutil.copy(ROOT / "manage.py", tmp_path)
    (tmp_path / "coop").mkdir()
    shutil.copy(ROOT / "coop/__init__.py", tmp_path / "coop")
    shutil.copytree(ROOT / "coop/setup", tmp_path / "coop/setup")
    return tmp_path


def run(folder, *arguments):
    # -S leaves out site-packages, as on a machine where nothing is installed.
    line = [sys.executable, "-S", "manage.py", *arguments]
    return subprocess.run(line, cwd=folder, capture_output=True, text=True, check=False)


def test_a_command_of_django_before_the_first_start_says_what_to_do(bare_copy):
    done = run(bare_copy, "migrate")
    assert done.returncode == 1
    assert done.stderr.strip() == command.NO_PACKAGES


def test_help_needs_no_package(bare_copy):
    done = run(bare_copy, "help")
    assert done.returncode == 0
    assert "manage.py start" in done.stdout


def test_an_old_python_is_told_so(bare_copy):
    manage = (bare_copy / "manage.py").read_text(encoding="utf-8")
    (bare_copy / "manage.py").write_text(manage.replace("(3, 11)", "(9, 9)"), encoding="utf-8")
    done = run(bare_copy, "start")
    assert done.returncode == 1
    assert "needs Python 3.11 or newer" in done.stderr


def test_django_commands_go_through(bare_copy):
    done = subprocess.run(
        [sys.executable, "manage.py", "version"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.startswith("5.2")


@pytest.mark.parametrize(
    ("asked", "parallel"),
    [
        (["tests/core"], True),
        (["-k", "whole"], True),
        (["tests/setup/test_manage.py"], False),
        (["tests/setup/test_manage.py::test_x", "-q"], False),
        (["-n0"], False),
        (["--pdb"], False),
    ],
)
def test_one_file_runs_in_one_process(asked, parallel):
    assert bool(_side_by_side(asked)) is parallel
