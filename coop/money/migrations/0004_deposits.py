"""Two more kinds of entry: a deposit held, and given back. Nothing changes in the database."""

from django.db import migrations, models

KINDS = [
    ("produce", "produce"),
    ("cost", "shared cost"),
    ("fee", "fee"),
    ("deposit", "deposit held"),
    ("deposit_back", "deposit given back"),
    ("credit", "farm's credit"),
    ("claim", "from the spare table"),
    ("carried", "carried by the till"),
    ("farm_paid", "farm paid"),
    ("paid_in", "paid in"),
    ("paid_out", "paid out"),
    ("squared", "squaring up"),
    ("reversal", "reversal"),
]


class Migration(migrations.Migration):
    dependencies = [("money", "0003_a_form_sent_twice_is_one_entry")]

    operations = [
        migrations.AlterField(
            model_name="entry",
            name="kind",
            field=models.CharField(choices=KINDS, max_length=12),
        ),
    ]
