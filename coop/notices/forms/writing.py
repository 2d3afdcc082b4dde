"""What is typed to write to those whom something concerns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from coop.money.forms.once import OnceForm
from coop.notices.actions.writing import Letter
from coop.notices.circles import Part
from coop.notices.models import Writing

LONGEST_TITLE = Writing._meta.get_field("title").max_length or 0
LONGEST_TEXT = Writing._meta.get_field("text").max_length or 0


class WritingForm(OnceForm):
    """Who gets it, its subject and its text. `seen` is the digest of who was shown to get it.

    `parts` are the parts of the circle that reach anybody, with how many each reaches in words.
    """

    title = forms.CharField(
        max_length=LONGEST_TITLE, label="Subject", help_text="The first thing they read."
    )
    text = forms.CharField(
        label="Letter",
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 10, "class": "letter"}),
        help_text="It goes out in your name, and cannot be changed or taken back.",
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, parts: Sequence[tuple[Part, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        choices = [(part.code, f"{part.words}: {reach}") for part, reach in parts]
        self.add(part=forms.ChoiceField(choices=choices, label="Who", widget=forms.RadioSelect))
        self.order_fields(["part", "title", "text"])

    def clean_title(self) -> str:
        """On one line."""
        return " ".join(self.cleaned_data["title"].split())

    def clean_text(self) -> str:
        """With one kind of line ends."""
        text: str = self.cleaned_data["text"]
        return text.replace("\r\n", "\n").replace("\r", "\n")

    def letter(self) -> Letter:
        """The letter as it was typed."""
        typed = self.cleaned_data
        return Letter(title=typed["title"], text=typed["text"], part=typed["part"])
