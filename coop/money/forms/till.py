"""What is typed when money goes into the till or comes out of it."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.money.forms.once import OnceForm
from coop.people.models import Coop, Household
from coop.web.fields import MoneyField


class TillForm(OnceForm):
    """Which household, how much, and a note."""

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        self.add(
            household=forms.ModelChoiceField(
                Household.objects.filter(coop=coop), label="Household", empty_label="Which one?"
            ),
            cents=MoneyField(coop.currency, least=1, label="How much"),
            note=forms.CharField(
                required=False, max_length=400, label="Note", help_text="Cash, cheque, transfer."
            ),
        )


class SquareUpForm(forms.Form):
    """Whose balance stays in the till."""

    def __init__(self, *args: Any, choices: list[tuple[int, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["keep"] = forms.TypedMultipleChoiceField(
            choices=choices,
            coerce=int,
            required=False,
            label="Leave out",
            widget=forms.CheckboxSelectMultiple,
            help_text="Their balance stays in the till, for the buys to come.",
        )
