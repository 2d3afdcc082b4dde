"""SQL for rules that a constraint cannot say, written alike for SQLite and PostgreSQL.

Frozen: migrations call it, and a migration must write tomorrow what it writes today. Where other
SQL is wanted, add a function beside these and leave them as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

#: Name of the rule, table, events (as "INSERT UPDATE"), and the condition that breaks it.
Rule = tuple[str, str, str, str]


def making(rules: Sequence[Rule]) -> Callable[[Any, Any], None]:
    """For `RunPython`: make a trigger for each rule and each of its events."""

    def make(apps: Any, schema_editor: Any) -> None:
        del apps
        write = _postgresql if schema_editor.connection.vendor == "postgresql" else _sqlite
        for name, table, events, broken in rules:
            for event in events.split():
                schema_editor.execute(write(name, table, event, broken))

    return make


def dropping(rules: Sequence[Rule]) -> Callable[[Any, Any], None]:
    """For `RunPython`, the way back: drop those that stand.

    On SQLite some may be gone already, with a table that the way back has made anew.
    """

    def drop(apps: Any, schema_editor: Any) -> None:
        del apps
        on_postgresql = schema_editor.connection.vendor == "postgresql"
        for name, _table, events, _broken in rules:
            for event in events.split():
                if on_postgresql:
                    schema_editor.execute(
                        f"DROP FUNCTION IF EXISTS {name}_{event.lower()}() CASCADE"
                    )
                else:
                    schema_editor.execute(f"DROP TRIGGER IF EXISTS {name}_{event.lower()}")

    return drop


def _sqlite(name: str, table: str, event: str, broken: str) -> str:
    return (
        f"CREATE TRIGGER {name}_{event.lower()} BEFORE {event} ON {table} WHEN {broken} "
        f"BEGIN SELECT RAISE(ABORT, '{name}'); END"
    )


def _postgresql(name: str, table: str, event: str, broken: str) -> str:
    row = "OLD" if event == "DELETE" else "NEW"
    return (
        f"CREATE FUNCTION {name}_{event.lower()}() RETURNS trigger LANGUAGE plpgsql AS $$ "
        f"BEGIN IF {broken} THEN RAISE EXCEPTION '{name}' "
        f"USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {row}; END $$; "
        f"CREATE TRIGGER {name}_{event.lower()} BEFORE {event} ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {name}_{event.lower()}()"
    )
