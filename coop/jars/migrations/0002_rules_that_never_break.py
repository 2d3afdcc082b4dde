"""A loan stays within one co-op and gives back no more than was handed over; moves are kept."""

from django.db import migrations

from coop.triggers import dropping, making

RULES = [
    (
        "jar_count_by_a_member_of_its_coop",
        "jars_count",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> "
        "(SELECT coop_id FROM people_member WHERE id = NEW.by_id)",
    ),
    (
        "jar_loan_within_one_coop",
        "jars_loan",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.lender_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_household WHERE id = NEW.borrower_id) <> NEW.coop_id",
    ),
    ("jar_loan_keeps_its_coop", "jars_loan", "UPDATE", "OLD.coop_id <> NEW.coop_id"),
    ("jar_move_is_never_altered", "jars_jarmove", "UPDATE DELETE", "1 = 1"),
    (
        "jar_moves_within_the_loan",
        "jars_jarmove",
        "INSERT",
        "(NEW.what = 'handed_over' AND COALESCE((SELECT l.count FROM jars_loanline l WHERE "
        "l.loan_id = NEW.loan_id AND l.kind = NEW.kind), 0) < NEW.count + (SELECT "
        "COALESCE(SUM(m.count), 0) FROM jars_jarmove m WHERE m.loan_id = NEW.loan_id AND "
        "m.kind = NEW.kind AND m.what = 'handed_over')) OR (NEW.what <> 'handed_over' AND "
        "(SELECT COALESCE(SUM(CASE WHEN m.what = 'handed_over' THEN m.count ELSE -m.count END), "
        "0) FROM jars_jarmove m WHERE m.loan_id = NEW.loan_id AND m.kind = NEW.kind) < "
        "NEW.count)",
    ),
]


class Migration(migrations.Migration):
    dependencies = [("jars", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
