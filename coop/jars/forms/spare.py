"""What is looked for among the spare jars."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from coop.jars.kinds import KINDS, Mouth, Size, size_and_mouth
from coop.jars.queries.spare import Wanted
from coop.web.fields import ExactField

FARTHEST = 500  # miles


class MilesField(ExactField):
    """Whole miles."""

    example = "15"

    def __init__(self, **options: Any) -> None:
        super().__init__(least=1, most=FARTHEST, shown_unit="mile", **options)

    def said(self, figures: str) -> str:
        """Figures with their unit."""
        return f"{figures} mile{'' if figures == '1' else 's'}"


class SpareForm(forms.Form):
    """A size, a mouth, and how far."""

    size = forms.ChoiceField(
        label="Size", required=False, choices=[("", "any size"), *Size.choices]
    )
    mouth = forms.ChoiceField(
        label="Mouth", required=False, choices=[("", "either mouth"), *Mouth.choices]
    )
    within = MilesField(label="Within", required=False)

    def wanted(self) -> Wanted:
        """What is looked for; what was not understood is left out."""
        typed = self.cleaned_data
        size, mouth = typed.get("size") or "", typed.get("mouth") or ""
        return Wanted(size, mouth, typed.get("within"))


def typed_in(query: QueryDict) -> dict[str, str]:
    """What the address asks for: `kind` is short for its size and its mouth."""
    typed = {name: query.get(name, "") for name in ("size", "mouth", "within")}
    if (kind := query.get("kind", "")) in KINDS:
        size, mouth = size_and_mouth(kind)
        typed |= {"size": size.value, "mouth": mouth.value}
    return typed
