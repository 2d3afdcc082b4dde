"""Where a household lives, typed as two numbers or pasted as one pair."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

DEGREES = re.compile(
    r"([NSEW])?\s*([-\u2212]?)\s*(\d{1,3}(?:\.\d+)?)\s*°?\s*([NSEW])?", re.A | re.I
)
EXAMPLE = "39.36, -106.28"
LONGEST = 60


class HomeForm(forms.Form):
    """Degrees north and east. A pair pasted into the first field fills both."""

    latitude = forms.CharField(
        label="Latitude",
        max_length=LONGEST,
        help_text=f"Degrees north. A pair such as {EXAMPLE} may be pasted here whole.",
        error_messages={"required": f"Write degrees, like {EXAMPLE}."},
    )
    longitude = forms.CharField(
        label="Longitude",
        max_length=LONGEST,
        required=False,
        help_text="Degrees east; west of Greenwich has a minus, like -106.28.",
    )

    def clean(self) -> dict[str, Any]:
        """Read both numbers, or the pair."""
        typed = super().clean() or self.cleaned_data
        if "latitude" not in typed:
            return typed
        north, *rest = _parts(typed["latitude"])
        if not rest and not typed.get("longitude"):
            raise ValidationError({"longitude": "Write the longitude too."})
        east = rest if rest else _parts(typed["longitude"])
        if len(east) != 1:
            raise ValidationError({"latitude": f"That is no pair. Write it like {EXAMPLE}."})
        self._read("latitude", north, "NS")
        self._read("longitude" if not rest else "latitude", east[0], "EW", of="longitude")
        return typed

    def place(self) -> tuple[Decimal, Decimal]:
        """Degrees north and degrees east."""
        return self.cleaned_data["north"], self.cleaned_data["east"]

    def _read(self, field: str, text: str, letters: str, *, of: str = "latitude") -> None:
        try:
            degrees = _degrees(text, letters)
        except ValueError:
            self.add_error(field, f"Write the {of} in degrees, like {EXAMPLE}.")
            return
        most = 90 if of == "latitude" else 180
        if abs(degrees) > most:
            self.add_error(field, f"The {of} goes from -{most} to {most} degrees.")
            return
        self.cleaned_data["north" if of == "latitude" else "east"] = degrees


def _parts(text: str) -> list[str]:
    """The numbers of a pair: parted by a comma, a semicolon, or else by space."""
    text = text.strip().strip("()")
    parts = re.split(r"\s*[,;]\s*", text)
    return parts if len(parts) > 1 or re.search(r"[°NSEW]", text, re.I) else text.split()


def _degrees(text: str, letters: str) -> Decimal:
    found = DEGREES.fullmatch(text.strip())
    if found is None:
        raise ValueError(text)
    before, sign, figures, after = found.groups()
    letter = (before or after or "").upper()
    if letter not in ("", *letters) or (letter and sign) or (before and after):
        raise ValueError(text)
    degrees = Decimal(figures)
    return -degrees if sign or letter in ("S", "W") else degrees
