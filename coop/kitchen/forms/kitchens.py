"""The form of a kitchen."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.kitchen.actions.kitchens import KitchenTerms
from coop.kitchen.forms.tables import HIGHEST_FT, LOWEST_FT
from coop.kitchen.models import Kitchen


class KitchenForm(forms.Form):
    """Its name, where it is, and how high."""

    name = forms.CharField(max_length=80)
    altitude_ft = forms.IntegerField(
        min_value=LOWEST_FT,
        max_value=HIGHEST_FT,
        label="Altitude",
        help_text="Above the sea. It decides the minutes and the pressure of every jar.",
    )
    address = forms.CharField(max_length=200, required=False)
    note = forms.CharField(
        max_length=400,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Keys, hours, house rules.",
    )

    @staticmethod
    def initial_of(kitchen: Kitchen) -> dict[str, Any]:
        """What the form shows of a kitchen."""
        return {name: getattr(kitchen, name) for name in KitchenForm.base_fields}

    def terms(self) -> KitchenTerms:
        """What was typed, once it is valid."""
        return KitchenTerms(**self.cleaned_data)
