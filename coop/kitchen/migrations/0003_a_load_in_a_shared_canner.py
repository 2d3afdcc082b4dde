"""A load may name the shared canner that it was run in, of its own co-op.

On the way back SQLite makes the table of loads anew: its own rules go with the old one, and those
that look into it would stand in the way. So they step aside before, and stand again after.
"""

import django.db.models.deletion
from django.db import migrations, models

from coop.triggers import dropping, making

RULES = [
    (
        "load_in_a_thing_of_its_coop",
        "kitchen_load",
        "INSERT UPDATE",
        "(SELECT coop_id FROM equipment_thing WHERE id = NEW.thing_id) <> NEW.coop_id",
    ),
]
#: As they stand since the migration before.
ABOUT_LOADS = [
    (
        "load_within_one_coop",
        "kitchen_load",
        "INSERT UPDATE",
        "(SELECT coop_id FROM kitchen_kitchen WHERE id = NEW.kitchen_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_member WHERE id = NEW.watcher_id) <> NEW.coop_id",
    ),
    ("load_keeps_its_coop", "kitchen_load", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    (
        "lot_within_one_coop",
        "kitchen_lot",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM kitchen_load WHERE id = NEW.load_id) <> NEW.coop_id OR "
        "(SELECT p.coop_id FROM kitchen_use u JOIN kitchen_plan p ON p.id = u.plan_id "
        "WHERE u.id = NEW.use_id) <> NEW.coop_id OR "
        "(SELECT b.coop_id FROM buying_share s JOIN buying_division d ON d.id = s.division_id "
        "JOIN buying_line l ON l.id = d.line_id JOIN buying_buy b ON b.id = l.buy_id "
        "WHERE s.id = NEW.share_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM buying_farm WHERE id = NEW.farm_id) <> NEW.coop_id",
    ),
    (
        "jar_warning_within_one_coop",
        "kitchen_jarwarning",
        "INSERT UPDATE",
        "(SELECT coop_id FROM kitchen_lot WHERE id = NEW.lot_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM kitchen_load WHERE id = NEW.load_id) <> NEW.coop_id OR "
        "(SELECT f.coop_id FROM buying_supply s JOIN buying_farm f ON f.id = s.farm_id "
        "WHERE s.id = NEW.supply_id) <> NEW.coop_id",
    ),
]


class Migration(migrations.Migration):
    dependencies = [
        ("equipment", "0002_rules_that_never_break"),
        ("kitchen", "0002_rules_that_never_break"),
    ]

    operations = [
        migrations.RunPython(migrations.RunPython.noop, making(ABOUT_LOADS)),
        migrations.AddField(
            model_name="load",
            name="thing",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loads",
                to="equipment.thing",
            ),
        ),
        migrations.RunPython(migrations.RunPython.noop, dropping(ABOUT_LOADS)),
        migrations.RunPython(making(RULES), dropping(RULES), elidable=False),
    ]
