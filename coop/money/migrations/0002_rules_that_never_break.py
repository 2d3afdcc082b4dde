"""Movements are never changed or deleted, and stay within one co-op.

Held by triggers, in SQL that both databases read alike. A table that a later migration alters is
made anew on SQLite and loses its triggers: such a migration must drop and make them again, and
tests/web/test_triggers_stand.py fails when one is missing.
"""

from django.db import migrations

from coop.triggers import dropping, making

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


class Migration(migrations.Migration):
    dependencies = [("money", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
