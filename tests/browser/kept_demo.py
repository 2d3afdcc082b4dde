"""The demo, played once a run: each browser test begins with a copy of the same rows.

Playing the season takes as long as a dozen pages. What a browser shows is judged on SQLite, where
a whole database is copied page by page in a moment; elsewhere the season is played each time.
"""

import sqlite3
from typing import Any

from django.db import connection

from coop.kitchen.demo.load import load_demo


class KeptDemo:
    """The database as it stood when the demo had just been loaded."""

    def __init__(self) -> None:
        self._copy: sqlite3.Connection | None = None

    def load(self) -> None:
        """Bring the demo into an empty database, played anew or copied."""
        if connection.vendor != "sqlite":
            load_demo()
        elif self._copy is None:
            load_demo()
            self._copy = sqlite3.connect(":memory:")
            _open_file().backup(self._copy)
        else:
            self._copy.backup(_open_file())


def _open_file() -> Any:
    """The file under test, as SQLite itself has it open."""
    connection.ensure_connection()
    return connection.connection
