"""The form that asks the other way round: so many jars, how many pounds?"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from django import forms

from coop.core.preserving import (
    CONTAINERS,
    NoPublishedYield,
    form_words,
    freezing_forms,
    jar_words,
    pounds_for,
    pounds_to_freeze,
    product_words,
)
from coop.core.tables import JARS, process_rows, yield_rows
from coop.kitchen.forms.numbers import WholeField
from coop.kitchen.forms.tables import all_produce
from coop.kitchen.models import Way
from coop.kitchen.queries.reckon import Wanted
from coop.kitchen.queries.ways import GENERAL

#: Rows that the form has room for, and the most jars in one of them.
ROWS = 4
MOST_JARS = 2_000


@cache
def food_to_reckon() -> tuple[tuple[str, str], ...]:
    """The foods of which a published yield leads from jars back to pounds."""
    return tuple(
        (key, words) for key, words in all_produce() if key not in GENERAL and jars_to_fill(key)
    )


class ReckonFoodForm(forms.Form):
    """Which food, where no line of a buy says it."""

    produce = forms.ChoiceField(
        label="Food",
        choices=food_to_reckon,
        error_messages={
            "required": "Choose a food.",
            "invalid_choice": "No yield is published under that name: choose one of the list.",
        },
    )


def jars_to_fill(produce: str) -> list[tuple[str, str]]:
    """Each product and jar of a produce with a published yield: tested ones, then the freezer's.

    >>> [key for key, _ in jars_to_fill("sweet_corn")][:3]
    ['can/whole_kernel/pint', 'can/whole_kernel/quart', 'can/cream_style/pint']
    """
    return [*_jars_to_can(produce), *_containers_to_freeze(produce)]


def _jars_to_can(produce: str) -> list[tuple[str, str]]:
    tested = {(row.product, row.jar) for row in process_rows() if row.produce == produce}
    products = [row.product for row in yield_rows() if row.produce == produce]
    return [
        (f"{Way.CAN.value}/{product}/{jar}", f"{jar_words(jar, 2)} of {product_words(product)}")
        for product in products
        for jar in JARS
        if (product, jar) in tested and _has_yield(pounds_for, produce, product, jar)
    ]


def _containers_to_freeze(produce: str) -> list[tuple[str, str]]:
    return [
        (
            f"{Way.FREEZE.value}/{form}/{container}",
            f"{jar_words(container, 2)} frozen, {form_words(form)}",
        )
        for form in freezing_forms(produce)
        for container in CONTAINERS
        if _has_yield(pounds_to_freeze, produce, form, container)
    ]


def _has_yield(needed: Callable[..., object], produce: str, product: str, jar: str) -> bool:
    try:
        needed(produce, product, {jar: 1})
    except NoPublishedYield:
        return False
    return True


class WantedForm(forms.Form):
    """So many jars of one product."""

    count = WholeField(
        least=0,
        most=MOST_JARS,
        say=f"Write how many in figures, a whole number up to {MOST_JARS:,}.",
        required=False,
        label="How many",
    )
    what = forms.ChoiceField(required=False, label="Jars of what")

    def __init__(self, *args: Any, produce: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["what"].choices = jars_to_fill(produce)  # type: ignore[attr-defined]


class WantedForms(forms.BaseFormSet):  # type: ignore[type-arg]
    """A few rows of jars wanted."""

    def wanted(self) -> list[Wanted]:
        """(way, product, jar, count) of each filled row, once it is valid."""
        wanted = []
        for row in (form.cleaned_data for form in self.forms):
            if row.get("count") and row.get("what"):
                way, product, jar = row["what"].split("/")
                wanted.append((way, product, jar, row["count"]))
        return wanted


def wanted_forms(data: Any, produce: str) -> WantedForms:
    """The rows for one produce, bound where the address has them."""
    factory = forms.formset_factory(WantedForm, formset=WantedForms, extra=ROWS, max_num=ROWS)
    return factory(data, form_kwargs={"produce": produce})  # type: ignore[return-value]
