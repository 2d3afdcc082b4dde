"""Empties the database after a test that really committed.

Movements of money can be neither changed nor deleted: the database's own triggers see to that.
Only here, between tests, they step aside.
"""

from typing import Any

import pytest
from django.db.backends.base.operations import BaseDatabaseOperations


def allow(patch: pytest.MonkeyPatch) -> None:
    """Make Django's flush work in spite of the triggers, as long as `patch` lasts."""
    flush = BaseDatabaseOperations.execute_sql_flush

    def flush_all(self: Any, statements: list[str]) -> None:
        if self.connection.vendor == "sqlite":
            _without_sqlite_triggers(self.connection, lambda: flush(self, statements))
        else:
            flush(self, _without_postgres_triggers(self.connection))

    patch.setattr(BaseDatabaseOperations, "execute_sql_flush", flush_all)


def _without_postgres_triggers(connection: Any) -> list[str]:
    """Delete row by row: for a few rows, truncating takes far longer, for it makes tables anew."""
    off, on = ("SET session_replication_role = " + role for role in ("replica", "origin"))
    tables = connection.introspection.django_table_names(only_existing=True, include_views=False)
    return [off, *(f"DELETE FROM {connection.ops.quote_name(table)}" for table in tables), on]


def _without_sqlite_triggers(connection: Any, act: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f'DROP TRIGGER "{name}"')
        act()
        for _, statement in triggers:
            # Django looks for % to fill in, also where there are no parameters to fill in with.
            cursor.execute(statement.replace("%", "%%") if "%" in statement else statement)
