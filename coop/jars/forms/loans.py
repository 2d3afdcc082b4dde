"""What is typed to ask for jars, to offer them, and when they change hands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.forms import BoundField

from coop.jars.kinds import KINDS
from coop.jars.models import JarMove, Loan
from coop.web.fields import ExactField

#: More jars of one kind than any household has: a slip of the finger is caught here.
MOST_JARS = 10_000
LONGEST_MESSAGE = Loan._meta.get_field("message").max_length
LONGEST_NOTE = JarMove._meta.get_field("note").max_length


def kind_label(kind: str) -> str:
    """The label of a kind's field.

    >>> kind_label("quart_wide")
    'Quart, wide mouth'
    """
    words = KINDS[kind]
    return words[:1].upper() + words[1:]


class CountsForm(forms.Form):
    """Jars by kind: one field for each of `kinds`, whose numbers are how many there can be."""

    help_words = "{} at the most"

    def __init__(self, *args: Any, kinds: Mapping[str, int], **options: Any) -> None:
        super().__init__(*args, **options)
        self.kinds = kinds
        counts = {
            kind: ExactField(
                most=MOST_JARS,
                shown_unit="jar",
                required=False,
                label=kind_label(kind),
                help_text=self.help_words.format(most) if most else "",
            )
            for kind, most in kinds.items()
        }
        self.fields = counts | self.fields

    def counts(self) -> dict[str, int]:
        """What was typed, by kind; an empty field is none."""
        return {kind: self.cleaned_data.get(kind) or 0 for kind in self.kinds}

    def shown(self) -> list[BoundField]:
        """The fields of kinds of which there are some, or where something is wrong."""
        fields = [self[kind] for kind in self.kinds]
        return [field for field in fields if self.kinds[field.name] or field.errors]


class LoanForm(CountsForm):
    """Ask for jars, or offer them: how many of each kind that can be spared, and until when."""

    help_words = "{} to spare"

    due_on = forms.DateField(
        label="Back by",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Say by which day the jars should be back.",
            "invalid": "Write a day, like 2026-11-09.",
        },
    )
    message = forms.CharField(
        required=False,
        max_length=LONGEST_MESSAGE,
        label="Message",
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class MoveForm(CountsForm):
    """Jars that change hands. `seen` is the newest move on the page that the form stands on."""

    seen = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)
    note = forms.CharField(required=False, max_length=LONGEST_NOTE, label="Note")
