"""A row's co-op is that of its household; history is never altered.

Held by triggers, in SQL that both databases read alike. A table that a later migration alters is
made anew on SQLite and loses its triggers: such a migration must drop and make them again, and
tests/web/test_triggers_stand.py fails when one is missing.
"""

from django.db import migrations

# Name of the rule, table, events, and what breaks it.
RULES = [
    (
        "member_in_the_coop_of_its_household",
        "people_member",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> "
        "NEW.coop_id",
    ),
    (
        "invitation_within_one_coop",
        "people_invitation",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> "
        "NEW.coop_id OR (SELECT coop_id FROM people_member WHERE id = NEW.invited_by_id) "
        "<> NEW.coop_id",
    ),
    (
        "change_within_one_coop",
        "people_change",
        "INSERT",
        "(SELECT coop_id FROM people_member WHERE id = NEW.member_id) <> NEW.coop_id",
    ),
    ("change_is_never_altered", "people_change", "UPDATE DELETE", "1 = 1"),
    (
        "household_keeps_its_coop",
        "people_household",
        "UPDATE",
        "OLD.coop_id <> NEW.coop_id",
    ),
    ("member_keeps_its_coop", "people_member", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
]


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


def make(apps, schema_editor):
    write = _postgresql if schema_editor.connection.vendor == "postgresql" else _sqlite
    for name, table, events, broken in RULES:
        for event in events.split():
            schema_editor.execute(write(name, table, event, broken))


def drop(apps, schema_editor):
    on_postgresql = schema_editor.connection.vendor == "postgresql"
    for name, _table, events, _broken in RULES:
        for event in events.split():
            if on_postgresql:
                schema_editor.execute(f"DROP FUNCTION {name}_{event.lower()}() CASCADE")
            else:
                schema_editor.execute(f"DROP TRIGGER {name}_{event.lower()}")


class Migration(migrations.Migration):
    dependencies = [("people", "0001_initial")]

    operations = [migrations.RunPython(make, drop, elidable=False)]
