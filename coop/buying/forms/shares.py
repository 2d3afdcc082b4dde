"""What is typed to publish or withdraw a division, to ease a minimum, and to claim."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from coop.buying.models import Ask, Spare
from coop.buying.words import RULES
from coop.people.models import Household, Member
from coop.web.fields import AmountField

LONGEST_REASON = 200


class PublishForm(forms.Form):
    """The rule chosen, and the name of the figures that were looked at."""

    rule = forms.ChoiceField(
        label="How it is shared",
        choices=[(rule, words.label) for rule, words in RULES.items()],
        error_messages={"required": "Choose one of the ways to share it."},
    )
    seen = forms.CharField(max_length=64, widget=forms.HiddenInput)
    why = forms.CharField(
        required=False,
        max_length=LONGEST_REASON,
        label="Why not the rule that the buy stated",
        help_text="Everybody reads it beside the division.",
    )


class WhyForm(forms.Form):
    """A reason that everybody reads."""

    why = forms.CharField(
        max_length=LONGEST_REASON,
        label="Why",
        help_text="Everybody reads it in the history of the buy.",
        error_messages={"required": "Say why, for everybody to read."},
    )


class EaseForm(forms.Form):
    """A lower minimum of one ask."""

    def __init__(self, *args: Any, ask: Ask, **options: Any) -> None:
        options.setdefault("initial", {"at_least": ask.at_least, "or_none": ask.or_none})
        super().__init__(*args, **options)
        self.fields |= {
            "at_least": AmountField(ask.line.measure, label="At least"),
            "or_none": forms.BooleanField(
                required=False, label="Or nothing at all, if that cannot be had"
            ),
            "agreed": forms.BooleanField(
                label=f"{ask.household} said yes to this",
                error_messages={"required": "Ask the household first, and tick that it said yes."},
            ),
        }


class ClaimForm(forms.Form):
    """How much of a spare, and for whom."""

    def __init__(self, *args: Any, spare: Spare, left: int, by: Member, **options: Any) -> None:
        options.setdefault("initial", {"amount": left, "household": by.household_id})
        super().__init__(*args, **options)
        self.fields["amount"] = AmountField(spare.division.line.measure, label="How much")
        self.fields["household"] = forms.ModelChoiceField(
            _households(by), label="For", empty_label=None
        )


def _households(by: Member) -> QuerySet[Household]:
    """Whom the member may claim for: their own household, or any for a coordinator."""
    households = Household.objects.filter(coop=by.coop, left_at__isnull=True)
    return households if by.coordinator else households.filter(pk=by.household_id)
