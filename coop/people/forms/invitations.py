"""Forms to invite somebody, and to join."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password

from coop.people.actions.invitations import Guest
from coop.people.forms.households import ROLE_CHOICES
from coop.people.models import Household, Invitation, Member, User
from coop.people.queries import households_in


class InviteForm(forms.Form):
    """Whom to invite. Who is no coordinator invites into their own household only."""

    email = forms.EmailField(
        label="Email address", widget=forms.EmailInput(attrs={"autocomplete": "off"})
    )
    household_name = forms.CharField(
        label="Name of the new household",
        max_length=80,
        required=False,
        help_text="They can change it when they join.",
    )
    roles = forms.MultipleChoiceField(
        label="Roles from the start",
        choices=ROLE_CHOICES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(
        self, member: Member, *args: Any, into: Household | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        named = [into] if into else []
        if member.coordinator:
            named += [household for household in households_in(member.coop) if household != into]
        else:
            del self.fields["household_name"], self.fields["roles"]
        self.households = {str(household.pk): household for household in named}
        choices = [(pk, household.name) for pk, household in self.households.items()]
        if member.coordinator:
            choices.append(("", "A new household"))
        self.fields["household"] = forms.ChoiceField(
            label="Into which household",
            choices=choices if into else [*choices[-1:], *choices[:-1]],
            required=not member.coordinator,
        )
        self.order_fields(["email", "household", "household_name", "roles"])

    def clean(self) -> dict[str, Any]:
        """A new household needs a name."""
        values = super().clean() or {}
        is_new = not values.get("household") and "household" not in self.errors
        if is_new and "household_name" in self.fields and not values.get("household_name"):
            self.add_error("household_name", "Give the new household a name.")
        return values

    def guest(self) -> Guest:
        """What was typed."""
        values = self.cleaned_data
        return Guest(
            email=values["email"],
            household=self.households.get(values["household"]),
            household_name=values.get("household_name", ""),
            roles=values.get("roles", []),
        )


class JoinForm(forms.Form):
    """Joining with an account that is there: only a new household still has something to say."""

    def __init__(self, invitation: Invitation, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.invitation = invitation
        if invitation.household is None:
            self.fields["household_name"] = forms.CharField(
                label="Your household",
                max_length=80,
                initial=invitation.household_name,
                help_text="As the others know you: a family name.",
            )
        self.order_fields(["name", "household_name", "password"])

    @property
    def household_name(self) -> str:
        """The name of the new household; empty when one is joined that is there."""
        return str(self.cleaned_data.get("household_name", ""))


class SignUpForm(JoinForm):
    """Joining with a new account."""

    name = forms.CharField(
        label="Your name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    password = forms.CharField(
        label="Password",
        required=False,
        strip=False,
        max_length=128,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 8 characters. Left empty, you sign in by a code sent to your address.",
    )

    def clean(self) -> dict[str, Any]:
        """Hold a password against the site's rules."""
        values = super().clean() or {}
        if password := values.get("password"):
            person = User(email=self.invitation.email, name=values.get("name", ""))
            try:
                validate_password(password, person)
            except forms.ValidationError as weak:
                self.add_error("password", weak)
        return values
