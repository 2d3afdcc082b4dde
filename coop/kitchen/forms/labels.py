"""The sizes of a sheet of labels, as typed: millimetres, exact to a hundredth."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from coop.core.labels import DoesNotFit, Sheet
from coop.kitchen.drawings import SMALLEST_HEIGHT_MM, SMALLEST_WIDTH_MM
from coop.kitchen.queries.labels import ToLabel
from coop.kitchen.queries.lots import spoken_code
from coop.web.fields import ExactField

HUNDREDTHS = 100
#: The longest side of paper that is taken, and the most labels that are drawn at once.
LONGEST_MM = 1000
MOST_LABELS = 600


class Paper(models.TextChoices):
    """The usual papers, or any other."""

    LETTER = "letter", "Letter, 8.5 by 11 in"
    A4 = "a4", "A4, 210 by 297 mm"
    OWN = "own", "another, typed below"


#: Width and height in hundredths of a millimetre: 8.5 by 11 inches of 25.4 mm; ISO 216 for A4.
SIZES = {Paper.LETTER: (21590, 27940), Paper.A4: (21000, 29700)}
#: What stands in the form at first, in hundredths of a millimetre; it fits both papers.
FIRST: dict[str, Any] = {
    "paper": Paper.LETTER.value,
    "label_width": 6000,
    "label_height": 4000,
    "margin_left": 1300,
    "margin_top": 1300,
    "gap_x": 400,
    "gap_y": 400,
    "edges": True,
}
#: Which field a measure of the core's sheet was typed in.
FIELD_OF = {"width_mm": "paper_width", "height_mm": "paper_height", "first": "used"}


class MillimetreField(ExactField):
    """Millimetres with up to two decimals; cleans to whole hundredths.

    >>> MillimetreField(label="Width").clean("63.5 mm")
    6350
    """

    digits = 2
    example = "63.5"

    def __init__(self, *, least: int = 0, **options: Any) -> None:
        most = LONGEST_MM * HUNDREDTHS
        super().__init__(least=least, most=most, shown_unit="mm", **options)

    def too_fine(self) -> str:
        """Say how fine it goes."""
        return "Millimetres go to two decimals, like 63.5."


class SizesForm(forms.Form):
    """Paper, labels, margins and gaps, and how many labels of each lot."""

    paper = forms.ChoiceField(label="Paper", choices=Paper)

    def __init__(self, *args: Any, lots: Sequence[ToLabel], **options: Any) -> None:
        super().__init__(*args, **options)
        self.lots = lots
        self.fields |= {
            "paper_width": MillimetreField(label="Paper width", required=False, least=1),
            "paper_height": MillimetreField(label="Paper height", required=False, least=1),
            "label_width": MillimetreField(
                label="Label width", least=SMALLEST_WIDTH_MM * HUNDREDTHS
            ),
            "label_height": MillimetreField(
                label="Label height", least=SMALLEST_HEIGHT_MM * HUNDREDTHS
            ),
            "margin_left": MillimetreField(label="Margin at the left"),
            "margin_top": MillimetreField(label="Margin at the top"),
            "gap_x": MillimetreField(label="Gap between two side by side"),
            "gap_y": MillimetreField(label="Gap between two rows"),
            "used": ExactField(
                label="Labels used already on the first sheet",
                most=MOST_LABELS,
                shown_unit="label",
                required=False,
            ),
            "edges": forms.BooleanField(required=False, label="Print thin lines to cut along"),
        }
        for each in lots:
            self.fields[f"count_{each.lot.pk}"] = ExactField(
                label=f"Labels for lot {spoken_code(each.lot)}, {each.product}",
                most=MOST_LABELS,
                shown_unit="label",
                initial=each.jars,
            )

    @property
    def count_fields(self) -> list[forms.BoundField]:
        """How many of each lot."""
        return [self[f"count_{each.lot.pk}"] for each in self.lots]

    @property
    def size_fields(self) -> list[forms.BoundField]:
        """Label, margins and gaps."""
        return [self[name] for name in FIRST if name not in {"paper", "edges"}]

    def clean(self) -> dict[str, Any]:
        """Lay the labels out; `sheet` and `places` come with what was typed."""
        typed = super().clean() or {}
        if self.errors:
            return typed
        counts = [typed[f"count_{each.lot.pk}"] for each in self.lots]
        if sum(counts) > MOST_LABELS:
            raise ValidationError(f"{sum(counts)} labels: at most {MOST_LABELS} at a time.")
        if typed["paper"] == Paper.OWN and not (typed["paper_width"] and typed["paper_height"]):
            self.add_error("paper_width", "Type the width and the height of the paper.")
            return typed
        try:
            typed["sheet"] = sheet_of(typed)
            typed["places"] = typed["sheet"].places(sum(counts), first=typed["used"] or 0)
        except DoesNotFit as wrong:
            field = FIELD_OF.get(wrong.field, wrong.field.removesuffix("_mm"))
            self.add_error(field if field in self.fields else None, wrong.sentence)
        return typed

    def sizes(self) -> dict[str, Any]:
        """What is worth remembering: the sizes, not the counts."""
        kept = [*FIRST, "paper_width", "paper_height"]
        return {name: self.cleaned_data[name] for name in kept}


def sheet_of(typed: dict[str, Any]) -> Sheet:
    """The sheet, exact. Raises DoesNotFit."""
    own = (typed["paper_width"], typed["paper_height"])
    width, height = SIZES.get(Paper(typed["paper"]), own)
    return Sheet(
        width_mm=Fraction(width, HUNDREDTHS),
        height_mm=Fraction(height, HUNDREDTHS),
        **{
            f"{name}_mm": Fraction(typed[name], HUNDREDTHS)
            for name in FIRST
            if name not in {"paper", "edges"}
        },
    )
