"""A line's produce is charged once at a time, and so is a claim; charges and payments stay.

No table is made anew here (columns without a default, and indexes), so the triggers stay.
"""

import django.db.models.deletion
from django.db import migrations, models

from coop.triggers import dropping, making

# Name of the rule, table, events, and what breaks it.
RULES = [
    ("charge_is_never_deleted", "buying_charge", "DELETE", "1 = 1"),
    (
        "charge_only_ever_gets_reversed",
        "buying_charge",
        "UPDATE",
        "OLD.buy_id <> NEW.buy_id OR OLD.what <> NEW.what OR OLD.cents <> NEW.cents OR "
        "OLD.entry_id <> NEW.entry_id OR OLD.reversed_at IS NOT NULL",
    ),
    (
        "charge_reversed_with_its_entry",
        "buying_charge",
        "UPDATE",
        "NEW.reversed_at IS NOT NULL AND NOT EXISTS (SELECT 1 FROM money_entry WHERE "
        "reverses_id = NEW.entry_id)",
    ),
    (
        "charge_of_a_claim_of_its_line",
        "buying_charge",
        "INSERT",
        "(SELECT d.line_id FROM buying_spareclaim c JOIN buying_spare s ON s.id = c.spare_id "
        "JOIN buying_division d ON d.id = s.division_id WHERE c.id = NEW.claim_id) <> "
        "NEW.line_id",
    ),
    ("buy_payment_is_never_altered", "buying_buypayment", "UPDATE DELETE", "1 = 1"),
]


class Migration(migrations.Migration):

    dependencies = [("buying", "0002_rules_that_never_break")]

    operations = [
        migrations.AddField(
            model_name="charge",
            name="reversed_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="charge",
            name="claim",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="charges",
                to="buying.spareclaim",
            ),
        ),
        migrations.AddConstraint(
            model_name="charge",
            constraint=models.UniqueConstraint(
                condition=models.Q(("reversed_at__isnull", True), ("what", "produce")),
                fields=("line",),
                name="charge_produce_once_a_line",
            ),
        ),
        migrations.AddConstraint(
            model_name="charge",
            constraint=models.UniqueConstraint(
                condition=models.Q(("claim__isnull", False), ("reversed_at__isnull", True)),
                fields=("claim",),
                name="charge_once_a_claim",
            ),
        ),
        migrations.RunPython(making(RULES), dropping(RULES), elidable=False),
    ]
