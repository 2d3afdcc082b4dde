"""What is typed to warn everyone who has certain jars."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.kitchen.models import JarWarning

LONGEST_SENTENCE = JarWarning._meta.get_field("sentence").max_length
SAFE = (
    "Do not eat from these jars and do not give them away. Set them apart, unopened, until you "
    "have heard more."
)


class WarnForm(forms.Form):
    """The sentence that everybody reads."""

    sentence = forms.CharField(
        label="What to tell them",
        max_length=LONGEST_SENTENCE,
        widget=forms.Textarea,
        initial=SAFE,
        help_text="Say what is wrong and what to do with the jars. It cannot be changed later.",
        error_messages={"required": "Say what is wrong and what to do with the jars."},
    )

    def __init__(self, *args: Any, asks_suspect: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if asks_suspect:
            self.fields["is_suspect"] = forms.BooleanField(
                required=False, initial=True, label="Call the load suspect as well"
            )

    def clean_sentence(self) -> str:
        """One line, whatever was pasted."""
        return " ".join(self.cleaned_data["sentence"].split())
