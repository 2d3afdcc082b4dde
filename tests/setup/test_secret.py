"""The secret that is made where none is given."""

import stat
import subprocess
import sys

from coop.setup.environment import ROOT
from coop.setup.secret import kept_secret


def test_a_secret_is_made_once(tmp_path):
    assert kept_secret(tmp_path) == kept_secret(tmp_path)


def test_two_folders_have_two_secrets(tmp_path):
    assert kept_secret(tmp_path / "a") != kept_secret(tmp_path / "b")


def test_nobody_else_can_read_it(tmp_path):
    kept_secret(tmp_path)
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600


def test_no_draft_is_left_behind(tmp_path):
    kept_secret(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["secret"]


def test_many_processes_at_once_agree(tmp_path):
    code = "from coop.setup.secret import kept_secret; from pathlib import Path; "
    code += f"print(kept_secret(Path({str(tmp_path)!r})))"
    starts = [
        subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE)
        for _ in range(4)
    ]
    assert len({start.communicate()[0] for start in starts}) == 1
