"""The form of a kitchen."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.kitchen.actions.kitchens import KitchenTerms
from coop.kitchen.forms.numbers import FeetField
from coop.kitchen.models import Kitchen
from coop.kitchen.rights import can_keep_kitchens
from coop.people.models import Household, Member


class KitchenForm(forms.Form):
    """Its name, where it is, and how high."""

    name = forms.CharField(max_length=80)
    altitude_ft = FeetField(
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
        return KitchenTerms(**{name: self.cleaned_data[name] for name in KitchenForm.base_fields})


class NewKitchenForm(KitchenForm):
    """A kitchen to add: who keeps the co-op's says whose it is, anybody else adds their own."""

    def __init__(self, *args: Any, member: Member, **options: Any) -> None:
        super().__init__(*args, **options)
        self.member = member
        if can_keep_kitchens(member):
            households = Household.objects.filter(coop=member.coop, left_at__isnull=True)
            self.fields["household"] = forms.ModelChoiceField(
                households,
                required=False,
                label="Whose kitchen",
                empty_label="The co-op's, for everybody",
                help_text="A household's own kitchen is offered to that household alone.",
            )

    @property
    def whose(self) -> Household | None:
        """Whose own it is, once it is valid; None for the co-op's."""
        chosen: Household | None = self.cleaned_data.get("household")
        return chosen if "household" in self.fields else self.member.household
