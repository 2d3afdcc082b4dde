"""What belongs to a kitchen stays within one co-op; no jar is eaten, or thrown out, twice."""

from django.db import migrations

from coop.triggers import dropping, making

_SHARES_COOP = (
    "(SELECT b.coop_id FROM buying_share s JOIN buying_division d ON d.id = s.division_id "
    "JOIN buying_line l ON l.id = d.line_id JOIN buying_buy b ON b.id = l.buy_id "
    "WHERE s.id = NEW.share_id)"
)

RULES = [
    (
        "plan_within_one_coop",
        "kitchen_plan",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id OR "
        f"{_SHARES_COOP} <> NEW.coop_id OR "
        "(SELECT coop_id FROM buying_farm WHERE id = NEW.farm_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM kitchen_kitchen WHERE id = NEW.kitchen_id) <> NEW.coop_id",
    ),
    ("plan_keeps_its_coop", "kitchen_plan", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    (
        "kitchen_within_one_coop",
        "kitchen_kitchen",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id",
    ),
    ("kitchen_keeps_its_coop", "kitchen_kitchen", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
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
        f"{_SHARES_COOP} <> NEW.coop_id OR "
        "(SELECT coop_id FROM buying_farm WHERE id = NEW.farm_id) <> NEW.coop_id",
    ),
    (
        "lot_keeps_its_coop_and_number",
        "kitchen_lot",
        "UPDATE",
        "OLD.coop_id <> NEW.coop_id OR OLD.number <> NEW.number",
    ),
    (
        "seal_check_within_the_lot",
        "kitchen_sealcheck",
        "INSERT UPDATE",
        "COALESCE((SELECT counted_out FROM kitchen_lot WHERE id = NEW.lot_id), 0) < NEW.sealed",
    ),
    (
        "fates_within_the_unsealed",
        "kitchen_fate",
        "INSERT",
        "COALESCE((SELECT l.counted_out - c.sealed FROM kitchen_lot l JOIN kitchen_sealcheck c "
        "ON c.lot_id = l.id WHERE l.id = NEW.lot_id), 0) < NEW.count + (SELECT "
        "COALESCE(SUM(f.count), 0) FROM kitchen_fate f WHERE f.lot_id = NEW.lot_id)",
    ),
    (
        "taken_within_the_shelf",
        "kitchen_taken",
        "INSERT",
        "COALESCE((SELECT CASE WHEN l.way = 'can' THEN c.sealed ELSE COALESCE(l.counted_out, "
        "l.counted_in) END FROM kitchen_lot l LEFT JOIN kitchen_sealcheck c ON c.lot_id = l.id "
        "WHERE l.id = NEW.lot_id), 0) < NEW.count + (SELECT COALESCE(SUM(t.count), 0) FROM "
        "kitchen_taken t WHERE t.lot_id = NEW.lot_id AND t.undone_at IS NULL)",
    ),
    (
        "taken_given_within_one_coop",
        "kitchen_taken",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.given_to_id) <> "
        "(SELECT coop_id FROM kitchen_lot WHERE id = NEW.lot_id)",
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
    (
        "warning_to_within_one_coop",
        "kitchen_warningto",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> "
        "(SELECT coop_id FROM kitchen_jarwarning WHERE id = NEW.warning_id)",
    ),
]


class Migration(migrations.Migration):
    dependencies = [("kitchen", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
