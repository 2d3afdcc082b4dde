"""Movements are never changed or deleted, and stay within one co-op.

Held by triggers, in SQL that both databases read alike. A table that a later migration alters is
made anew on SQLite and loses its triggers: such a migration must drop and make them again, and
tests/web/test_triggers_stand.py fails when one is missing.
"""

from django.db import migrations

# Name of the rule, table, events, and what breaks it.
RULES = [
    ("entry_is_never_altered", "money_entry", "UPDATE DELETE", "1 = 1"),
    ("movement_is_never_altered", "money_movement", "UPDATE DELETE", "1 = 1"),
    (
        "entry_within_one_coop",
        "money_entry",
        "INSERT",
        "(SELECT coop_id FROM people_member WHERE id = NEW.made_by_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM money_entry WHERE id = NEW.reverses_id) <> NEW.coop_id",
    ),
    (
        "movement_within_one_coop",
        "money_movement",
        "INSERT",
        "(SELECT coop_id FROM money_account WHERE id = NEW.source_id) <> (SELECT coop_id "
        "FROM money_entry WHERE id = NEW.entry_id) OR (SELECT coop_id FROM money_account "
        "WHERE id = NEW.target_id) <> (SELECT coop_id FROM money_entry WHERE id = "
        "NEW.entry_id)",
    ),
    (
        "account_in_the_coop_of_its_household",
        "money_account",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> "
        "NEW.coop_id",
    ),
    (
        "account_keeps_its_coop_and_kind",
        "money_account",
        "UPDATE",
        "OLD.coop_id <> NEW.coop_id OR OLD.kind <> NEW.kind OR OLD.household_id <> "
        "NEW.household_id",
    ),
    (
        "payment_within_one_coop",
        "money_payment",
        "INSERT UPDATE",
        "(SELECT coop_id FROM money_account WHERE id = NEW.payer_id) <> (SELECT coop_id "
        "FROM money_squareup WHERE id = NEW.square_up_id) OR (SELECT coop_id FROM "
        "money_account WHERE id = NEW.payee_id) <> (SELECT coop_id FROM money_squareup "
        "WHERE id = NEW.square_up_id) OR (SELECT coop_id FROM money_entry WHERE id = "
        "NEW.entry_id) <> (SELECT coop_id FROM money_squareup WHERE id = "
        "NEW.square_up_id)",
    ),
    (
        "payment_keeps_its_amount",
        "money_payment",
        "UPDATE",
        "OLD.cents <> NEW.cents OR OLD.payer_id <> NEW.payer_id OR OLD.payee_id <> "
        "NEW.payee_id",
    ),
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
    dependencies = [("money", "0001_initial")]

    operations = [migrations.RunPython(make, drop, elidable=False)]
