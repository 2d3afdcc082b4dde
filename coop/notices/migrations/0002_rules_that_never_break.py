"""Nobody is told what another co-op knows, and what a mail has told it has told once."""

from django.db import migrations

from coop.triggers import dropping, making

RULES = [
    (
        "matter_within_one_coop",
        "notices_matter",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_household WHERE id = NEW.household_id) <> NEW.coop_id OR "
        "(SELECT coop_id FROM people_member WHERE id = NEW.member_id) <> NEW.coop_id",
    ),
    (
        "notice_within_one_coop",
        "notices_notice",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_member WHERE id = NEW.member_id) <> "
        "(SELECT coop_id FROM notices_matter WHERE id = NEW.matter_id)",
    ),
    (
        "notice_in_a_mail_to_its_member",
        "notices_notice",
        "INSERT UPDATE",
        "(SELECT member_id FROM notices_mail WHERE id = NEW.mail_id) <> NEW.member_id",
    ),
    (
        "notice_told_by_mail_stays_told",
        "notices_notice",
        "UPDATE",
        "(SELECT sent_at FROM notices_mail WHERE id = OLD.mail_id) IS NOT NULL AND "
        "COALESCE(NEW.mail_id, 0) <> OLD.mail_id",
    ),
    (
        "mail_within_one_coop",
        "notices_mail",
        "INSERT UPDATE",
        "(SELECT coop_id FROM people_member WHERE id = NEW.member_id) <> NEW.coop_id",
    ),
    (
        "mail_sent_is_sent_once",
        "notices_mail",
        "UPDATE",
        "OLD.sent_at IS NOT NULL AND (NEW.sent_at IS NULL OR NEW.sent_at <> OLD.sent_at)",
    ),
    (
        "writing_by_a_member_of_its_coop",
        "notices_writing",
        "INSERT",
        "(SELECT coop_id FROM people_member WHERE id = NEW.by_id) <> NEW.coop_id",
    ),
    ("writing_is_never_altered", "notices_writing", "UPDATE DELETE", "1 = 1"),
]


class Migration(migrations.Migration):
    dependencies = [("notices", "0001_initial"), ("people", "0001_initial")]

    operations = [migrations.RunPython(making(RULES), dropping(RULES), elidable=False)]
