"""A row's co-op is that of its household; history is never altered.

Held by triggers, in SQL that both databases read alike. A table that a later migration alters is
made anew on SQLite and loses its triggers: such a migration must drop and make them again, and
tests/web/test_triggers_stand.py fails when one is missing.
"""

from django.db import migrations

from coop.triggers import dropping, making

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


class Migration(migrations.Migration):
    dependencies = [("people", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
