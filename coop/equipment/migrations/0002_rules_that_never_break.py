"""No two bookings of a thing overlap; a thing is with one household; handovers are kept.

A thing out of order takes no new booking, and every row is of the co-op that its thing is of.
"""

from django.db import migrations

from coop.triggers import dropping, making

RULES = [
    (
        "thing_of_a_household_of_its_coop",
        "equipment_thing",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.owner_id) <> NEW.coop_id",
    ),
    ("thing_keeps_its_coop", "equipment_thing", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    (
        "booking_within_one_coop",
        "equipment_booking",
        "INSERT UPDATE",
        "(SELECT coop_id FROM equipment_thing WHERE id = NEW.thing_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id",
    ),
    (
        "booking_keeps_its_thing",
        "equipment_booking",
        "UPDATE",
        "OLD.thing_id <> NEW.thing_id OR OLD.household_id <> NEW.household_id",
    ),
    (
        "booking_of_a_thing_in_order",
        "equipment_booking",
        "INSERT",
        "EXISTS (SELECT 1 FROM equipment_fault f WHERE f.thing_id = NEW.thing_id AND "
        "f.stops = 'bookings' AND f.mended_at IS NULL) OR EXISTS (SELECT 1 FROM "
        "equipment_thing t WHERE t.id = NEW.thing_id AND t.retired_at IS NOT NULL)",
    ),
    (
        "standby_within_one_coop",
        "equipment_standby",
        "INSERT UPDATE",
        "(SELECT coop_id FROM equipment_thing WHERE id = NEW.thing_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id",
    ),
    ("handover_is_never_altered", "equipment_handover", "UPDATE DELETE", "1 = 1"),
    ("counted_part_is_never_altered", "equipment_countedpart", "UPDATE DELETE", "1 = 1"),
    (
        "handover_back_after_out",
        "equipment_handover",
        "INSERT",
        "NEW.what = 'back' AND NOT EXISTS (SELECT 1 FROM equipment_handover h WHERE "
        "h.booking_id = NEW.booking_id AND h.what = 'out')",
    ),
    (
        "handover_of_a_thing_that_is_home",
        "equipment_handover",
        "INSERT",
        "NEW.what = 'out' AND EXISTS (SELECT 1 FROM equipment_handover h JOIN equipment_booking b "
        "ON b.id = h.booking_id WHERE h.what = 'out' AND b.thing_id = (SELECT thing_id FROM "
        "equipment_booking WHERE id = NEW.booking_id) AND NOT EXISTS (SELECT 1 FROM "
        "equipment_handover back WHERE back.booking_id = h.booking_id AND back.what = 'back'))",
    ),
]
# A trigger cannot see what another connection has not committed yet, and need not where writers
# take turns, as on SQLite. PostgreSQL has a constraint for it; a range of one key is matched by
# the index of ranges itself, so no extension is wanted.
OVERLAP = (
    "booking_overlaps",
    "equipment_booking",
    "INSERT UPDATE",
    "NEW.cancelled_at IS NULL AND EXISTS (SELECT 1 FROM equipment_booking b WHERE "
    "b.thing_id = NEW.thing_id AND b.id IS NOT NEW.id AND b.cancelled_at IS NULL AND "
    "b.starts_at < NEW.free_at AND b.free_at > NEW.starts_at)",
)


def make_overlap(apps, schema_editor):
    if schema_editor.connection.vendor != "postgresql":
        making([OVERLAP])(apps, schema_editor)
        return
    schema_editor.execute(
        "ALTER TABLE equipment_booking ADD CONSTRAINT booking_overlaps EXCLUDE USING gist "
        "(int8range(thing_id, thing_id, '[]') WITH &&, tstzrange(starts_at, free_at) WITH &&) "
        "WHERE (cancelled_at IS NULL)"
    )


def drop_overlap(apps, schema_editor):
    if schema_editor.connection.vendor != "postgresql":
        dropping([OVERLAP])(apps, schema_editor)
        return
    schema_editor.execute("ALTER TABLE equipment_booking DROP CONSTRAINT booking_overlaps")


class Migration(migrations.Migration):
    dependencies = [("equipment", "0001_initial")]

    operations = [
        migrations.RunPython(making(RULES), dropping(RULES), elidable=False),
        migrations.RunPython(make_overlap, drop_overlap, elidable=False),
    ]
