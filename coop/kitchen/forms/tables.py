"""Forms that ask the published tables."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.core.preserving.words import (
    jar_words,
    method_words,
    pack_words,
    produce_words,
    product_words,
)
from coop.core.tables import (
    JARS,
    METHODS,
    OPTIONS,
    PACKS,
    container_rows,
    drying_rows,
    freezing_rows,
    process_rows,
    yield_rows,
)
from coop.kitchen.forms.numbers import FeetField


def all_produce() -> list[tuple[str, str]]:
    """Every produce that any table names, in words, by the alphabet."""
    tables = (process_rows(), yield_rows(), freezing_rows(), drying_rows(), container_rows())
    keys = {row.produce for rows in tables for row in rows}
    return sorted(((key, produce_words(key)) for key in keys), key=lambda choice: choice[1])


def products_of(produce: str) -> list[tuple[str, str]]:
    """Every product of a produce that is canned, or of which a yield is published."""
    named = [(row.produce, row.product) for row in process_rows()]
    named += [(row.produce, row.product) for row in yield_rows()]
    keys = dict.fromkeys(product for food, product in named if food == produce)
    return [(key, product_words(key).capitalize()) for key in keys]


class FoodForm(forms.Form):
    """Which food, cooked how high."""

    produce = forms.ChoiceField(
        label="Food",
        choices=all_produce,
        error_messages={
            "required": "Choose a food.",
            "invalid_choice": "No table has such a food: choose one of the list.",
        },
    )
    altitude_ft = FeetField(
        label="Altitude of the kitchen",
        help_text="Where it is cooked, not where you live.",
    )


class ProcessForm(FoodForm):
    """One process by its exact key; nothing near to it is taken in its place."""

    pack = forms.ChoiceField(choices=[(pack, pack_words(pack).capitalize()) for pack in PACKS])
    method = forms.ChoiceField(
        label="Canner", choices=[(method, method_words(method).capitalize()) for method in METHODS]
    )
    jar = forms.ChoiceField(choices=[(jar, jar_words(jar).capitalize()) for jar in JARS])
    option = forms.TypedChoiceField(
        coerce=int,
        choices=[(option, f"Option {option}") for option in OPTIONS],
        help_text="Tomatoes under pressure have up to three; they are never mixed.",
    )

    def __init__(self, *args: Any, produce: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["produce"].widget = forms.HiddenInput()
        self.fields["altitude_ft"].widget = forms.HiddenInput()
        self.fields["product"] = forms.ChoiceField(choices=products_of(produce))
        self.order_fields(["product", "pack", "method", "jar", "option"])
