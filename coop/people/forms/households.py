"""Forms about households and members."""

from __future__ import annotations

from django import forms

from coop.people.actions.households import Details
from coop.people.models import ROLES

ROLE_WORDS = {
    "coordinator": "Coordinator: posts buys, calls in, tallies, divides; invites and gives roles",
    "treasurer": "Treasurer: sees to the till, charges costs, squares up",
    "steward": "Equipment steward: knows where each canner is",
    "host": "Kitchen host: opens the big kitchen",
}
ROLE_CHOICES = [(role, ROLE_WORDS[role]) for role in ROLES]


class HouseholdForm(forms.Form):
    """What a household says of itself."""

    name = forms.CharField(label="Name", max_length=80)
    phone = forms.CharField(
        label="Phone",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"}),
    )
    address = forms.CharField(label="Address", max_length=200, required=False)
    note = forms.CharField(
        label="Note",
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Allergies, when you can come, where to leave a share. All members read it.",
    )

    def details(self) -> Details:
        """What was typed."""
        return Details(**self.cleaned_data)


class RolesForm(forms.Form):
    """What a member does for the co-op."""

    roles = forms.MultipleChoiceField(
        label="Roles",
        choices=ROLE_CHOICES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class NameForm(forms.Form):
    """A person's own name."""

    name = forms.CharField(
        label="Your name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
