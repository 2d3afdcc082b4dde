"""Whole numbers in the kitchen's forms: one sentence for whatever is typed wrongly."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.web.figures import MINUS

HIGHEST_FT = 15_000
LOWEST_FT = -1_400


class WholeField(forms.IntegerField):
    """A whole number from `least` to `most`; anything else typed gets the one sentence `say`."""

    def __init__(self, *, least: int, most: int, say: str, **options: Any) -> None:
        messages = dict.fromkeys(("required", "invalid", "min_value", "max_value"), say)
        super().__init__(min_value=least, max_value=most, error_messages=messages, **options)


class FeetField(WholeField):
    """An altitude in whole feet above the sea."""

    def __init__(self, **options: Any) -> None:
        super().__init__(
            least=LOWEST_FT,
            most=HIGHEST_FT,
            say=f"Write the altitude in feet, a whole number from "
            f"{MINUS}{-LOWEST_FT:,} to {HIGHEST_FT:,}.",
            **options,
        )
