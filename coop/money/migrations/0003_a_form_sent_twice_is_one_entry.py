"""A form sent twice makes one entry; an entry is closed once another follows it.

No table is made anew here (a column without a default, and an index), so the triggers stay.
"""

from django.db import migrations, models

from coop.triggers import dropping, making

KINDS = [
    ("produce", "produce"),
    ("cost", "shared cost"),
    ("fee", "fee"),
    ("credit", "farm's credit"),
    ("claim", "from the spare table"),
    ("carried", "carried by the till"),
    ("farm_paid", "farm paid"),
    ("paid_in", "paid in"),
    ("paid_out", "paid out"),
    ("squared", "squaring up"),
    ("reversal", "reversal"),
]

# Name of the rule, table, events, and what breaks it.
RULES = [
    (
        # Entries of a co-op are written one after the other (lock_books), each with its movements.
        "movement_comes_with_its_entry",
        "money_movement",
        "INSERT",
        "EXISTS (SELECT 1 FROM money_entry later JOIN money_entry mine ON mine.id = NEW.entry_id "
        "WHERE later.coop_id = mine.coop_id AND later.id > mine.id)",
    ),
    (
        "reversal_answers_an_entry_not_a_reversal",
        "money_entry",
        "INSERT",
        "(SELECT kind FROM money_entry WHERE id = NEW.reverses_id) = 'reversal'",
    ),
    ("payment_is_never_deleted", "money_payment", "DELETE", "1 = 1"),
    ("payment_confirmed_stays", "money_payment", "UPDATE", "OLD.confirmed_at IS NOT NULL"),
]


class Migration(migrations.Migration):
    dependencies = [("money", "0002_rules_that_never_break")]

    operations = [
        migrations.AddField(
            model_name="entry",
            name="once",
            field=models.UUIDField(
                blank=True,
                editable=False,
                help_text="of the form that it came from: a form sent twice is one entry",
                null=True,
            ),
        ),
        migrations.AlterField(
            model_name="entry",
            name="kind",
            field=models.CharField(choices=KINDS, max_length=12),
        ),
        migrations.AddConstraint(
            model_name="entry",
            constraint=models.UniqueConstraint(
                condition=models.Q(("once__isnull", False)),
                fields=("coop", "once"),
                name="entry_once_a_form",
            ),
        ),
        migrations.RunPython(making(RULES), dropping(RULES), elidable=False),
    ]
