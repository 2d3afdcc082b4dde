"""A load is run in a thing of its own co-op."""

from django.db import migrations

from coop.triggers import dropping, making

RULES = [
    (
        "load_in_a_thing_of_its_coop",
        "kitchen_load",
        "INSERT UPDATE",
        "(SELECT coop_id FROM equipment_thing WHERE id = NEW.thing_id) <> NEW.coop_id",
    ),
]


class Migration(migrations.Migration):
    dependencies = [("kitchen", "0003_a_load_in_a_shared_canner")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
