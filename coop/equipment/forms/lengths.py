"""A length of time, chosen: nothing to type, and nothing to type wrongly."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from coop.equipment.words import length_said

HOUR, DAY = 60, 1440


class LengthField(forms.TypedChoiceField):
    """So many minutes out of `offered`; with `none`, what its words say cleans to None.

    A length that the thing has and nobody offers stays among the choices.
    """

    def __init__(
        self, offered: Sequence[int], *, kept: int | None = None, none: str = "", **options: Any
    ) -> None:
        lengths = sorted({*offered, *([] if kept is None else [kept])})
        choices = [(f"{each}", length_said(each) if each else "none") for each in lengths]
        super().__init__(
            choices=[("", none), *choices] if none else choices,
            coerce=int,
            empty_value=None,
            required=not none,
            error_messages={"invalid_choice": "Choose one of the lengths on the list."},
            **options,
        )
