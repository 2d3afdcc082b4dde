"""Every migration of ours can be undone and done again, and the rules stand as before."""

import os
import sqlite3
import subprocess
import sys

import pytest

from coop.setup.environment import ROOT

#: From the top of the house down, so that nothing is undone under what still needs it.
APPS = ("kitchen", "jars", "buying", "money", "people")


@pytest.fixture
def migrate(tmp_path):
    """Migrate a database of its own; returns its triggers as they then stand."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}

    def run(*arguments: str) -> list[str]:
        subprocess.run(
            [sys.executable, "manage.py", "migrate", *arguments],
            cwd=ROOT,
            env={**kept, "DATA_FOLDER": str(tmp_path)},
            capture_output=True,
            check=True,
        )
        with sqlite3.connect(tmp_path / "larders.sqlite3") as database:
            rows = database.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'")
            return sorted(row[0] for row in rows)

    return run


@pytest.mark.slow
@pytest.mark.sqlite
def test_all_the_way_back_and_up_again(migrate):
    first = migrate()
    assert len(first) >= 90
    for app in APPS:
        left = migrate(app, "zero")
    assert left == []
    assert migrate() == first
