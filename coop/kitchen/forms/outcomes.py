"""The form of what was really put up."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from coop.core.preserving import jar_words
from coop.kitchen.actions.outcomes import OutcomeTerms
from coop.kitchen.models import Outcome, Use, Way
from coop.web.fields import AmountField

MOST_JARS = 2000


class OutcomeForm(forms.Form):
    """Pounds that went in, jars or dried pounds that came of it, and the day."""

    pounds = AmountField(
        "weight", least=1, label="Pounds that went in", help_text="As they came from the farm"
    )
    jars = forms.IntegerField(min_value=0, max_value=MOST_JARS)
    dried = AmountField(
        "weight", required=False, least=1, label="Dried", help_text="After drying, where weighed"
    )
    on = forms.DateField(label="Day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))
    note = forms.CharField(max_length=400, required=False, widget=forms.Textarea({"rows": 3}))

    def __init__(self, *args: Any, use: Use, **options: Any) -> None:
        super().__init__(*args, **options)
        if use.way == Way.DRY:
            del self.fields["jars"]
            return
        del self.fields["dried"]
        full = "Full containers" if use.way == Way.FREEZE else "Full jars"
        self.fields["jars"].label = f"{full}, {jar_words(use.jar, 2)}"

    @staticmethod
    def initial_of(
        use: Use, outcome: Outcome | None, *, counted_out: int | None, today: date
    ) -> dict[str, Any]:
        """What was written, else what was planned with the jars that were counted out."""
        if outcome is None:
            return {"pounds": use.tenths or None, "jars": counted_out, "on": today}
        return {
            "pounds": outcome.tenths,
            "jars": outcome.jars,
            "dried": outcome.dried_tenths,
            "on": outcome.on,
            "note": outcome.note,
        }

    def terms(self) -> OutcomeTerms:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        return OutcomeTerms(
            tenths=typed["pounds"],
            on=typed["on"],
            jars=typed.get("jars") or 0,
            dried_tenths=typed.get("dried"),
            note=typed["note"],
        )
