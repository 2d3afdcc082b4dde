"""The list of parts that go out with a thing: a name and a count a row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.forms import BoundField

from coop.equipment.actions.keeping import MOST_OF_A_PART, MOST_PARTS
from coop.equipment.models import Part
from coop.web.fields import ExactField

EMPTY_ROWS = 4
LONGEST_NAME = Part._meta.get_field("name").max_length


class PartsForm(forms.Form):
    """A row for each part there is, and some more. A row without a name is no part any more."""

    def __init__(self, *args: Any, parts: Mapping[str, int], **options: Any) -> None:
        super().__init__(*args, **options)
        rows = [*parts.items(), *[("", 1)] * EMPTY_ROWS][:MOST_PARTS]
        self.size = len(rows)
        for place, (name, count) in enumerate(rows):
            self.fields[f"name_{place}"] = forms.CharField(
                max_length=LONGEST_NAME,
                required=False,
                label=f"Part {place + 1}",
                initial=name,
            )
            self.fields[f"count_{place}"] = ExactField(
                least=1,
                most=MOST_OF_A_PART,
                shown_unit="piece",
                required=False,
                label=f"How many of part {place + 1}",
                initial=count,
            )

    def rows(self) -> list[tuple[BoundField, BoundField]]:
        """Name and count, row by row."""
        return [(self[f"name_{place}"], self[f"count_{place}"]) for place in range(self.size)]

    def clean(self) -> dict[str, Any]:
        """A part has a count, and stands on the list once."""
        typed = super().clean() or self.cleaned_data
        seen: set[str] = set()
        for place in range(self.size):
            name = typed.get(f"name_{place}", "")
            if name and f"count_{place}" in typed and typed[f"count_{place}"] is None:
                self.add_error(f"count_{place}", "Write how many there are.")
            if name.lower() in seen:
                self.add_error(f"name_{place}", "It stands on the list twice.")
            seen |= {name.lower()} if name else set()
        return typed

    def parts(self) -> dict[str, int]:
        """The list, once the form is valid."""
        typed = self.cleaned_data
        return {
            typed[f"name_{place}"]: typed[f"count_{place}"]
            for place in range(self.size)
            if typed[f"name_{place}"]
        }
