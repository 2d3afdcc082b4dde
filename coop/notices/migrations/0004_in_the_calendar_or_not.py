"""A kind may stay out of a member's calendar, and not only its alarm."""

from typing import Any

from django.db import migrations, models

CHOICES = [("alarm", "with an alarm"), ("silent", "without an alarm"), ("out", "not in it")]


def keep_silence(apps: Any, schema_editor: Any) -> None:
    """Whose alarm was taken out has none still."""
    choices = apps.get_model("notices", "Choice").objects
    choices.filter(in_calendar=False).update(calendar="silent")


def keep_silence_back(apps: Any, schema_editor: Any) -> None:
    """As far as it can be said."""
    choices = apps.get_model("notices", "Choice").objects
    choices.exclude(calendar="alarm").update(in_calendar=False)


class Migration(migrations.Migration):
    dependencies = [("notices", "0003_who_needs_no_word")]

    operations = [
        migrations.AddField(
            "choice",
            "calendar",
            models.CharField(max_length=8, choices=CHOICES, default="alarm"),
        ),
        migrations.RunPython(keep_silence, keep_silence_back),
        migrations.RemoveField("choice", "in_calendar"),
    ]
