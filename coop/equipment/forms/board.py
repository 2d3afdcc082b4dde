"""Which day, how much of it, and which kind the board shows."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from coop.equipment.kinds import ThingKind
from coop.equipment.queries.board import View

#: Days that a board can be asked for; others are slips of the finger.
FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)
OUT_OF_RANGE = "Choose a day between 2000 and 2100."


class BoardForm(forms.Form):
    """A day, a view and a kind; what is left out stays as it is."""

    day = forms.DateField(
        label="Day",
        required=False,
        error_messages={"invalid": "Write the day as 2026-08-11, or pick it."},
        validators=[
            MinValueValidator(FIRST_DAY, OUT_OF_RANGE),
            MaxValueValidator(LAST_DAY, OUT_OF_RANGE),
        ],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    kind = forms.ChoiceField(
        label="Kind",
        required=False,
        choices=[("", "every kind"), *ThingKind.choices],
        error_messages={"invalid_choice": "Choose one of the kinds."},
    )
    view = forms.ChoiceField(
        label="Show",
        required=False,
        choices=View.choices,
        error_messages={"invalid_choice": "Choose a day or a week."},
    )

    def asked(self, today: date) -> tuple[date, View, str]:
        """The day, the view and the kind; what was not understood is today, a day, every kind."""
        typed: dict[str, Any] = self.cleaned_data
        return typed.get("day") or today, View(typed.get("view") or View.DAY), typed.get("kind", "")
