"""The form that asks the other way round: so many jars, how many pounds?"""

from __future__ import annotations

from typing import Any

from django import forms

from coop.core.preserving.words import jar_words, product_words
from coop.core.tables import JARS, process_rows, yield_rows
from coop.kitchen.forms.tables import all_produce

#: Rows that the form has room for, and the most jars in one of them.
ROWS = 4
MOST_JARS = 2_000


class ReckonFoodForm(forms.Form):
    """Which food, where no line of a buy says it."""

    produce = forms.ChoiceField(label="Food", choices=all_produce)


def jars_to_fill(produce: str) -> list[tuple[str, str]]:
    """Each product and jar of a produce that has a tested process and a yield by the pound.

    >>> jars_to_fill("sweet_corn")[0]
    ('whole_kernel/pint', 'pints of whole kernel')
    """
    with_yield = {row.product for row in yield_rows() if row.produce == produce}
    tested = {
        (row.product, row.jar)
        for row in process_rows()
        if row.produce == produce and row.product in with_yield
    }
    products = dict.fromkeys(row.product for row in yield_rows() if row.produce == produce)
    return [
        (f"{product}/{jar}", f"{jar_words(jar, 2)} of {product_words(product)}")
        for product in products
        for jar in JARS
        if (product, jar) in tested
    ]


class WantedForm(forms.Form):
    """So many jars of one product."""

    count = forms.IntegerField(min_value=0, max_value=MOST_JARS, required=False, label="How many")
    what = forms.ChoiceField(required=False, label="Jars of what")

    def __init__(self, *args: Any, produce: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["what"].choices = jars_to_fill(produce)  # type: ignore[attr-defined]


class WantedForms(forms.BaseFormSet):  # type: ignore[type-arg]
    """A few rows of jars wanted."""

    def wanted(self) -> list[tuple[str, str, int]]:
        """(product, jar, count) of each filled row, once it is valid."""
        wanted = []
        for row in (form.cleaned_data for form in self.forms):
            if row.get("count") and row.get("what"):
                product, jar = row["what"].split("/")
                wanted.append((product, jar, row["count"]))
        return wanted


def wanted_forms(data: Any, produce: str) -> WantedForms:
    """The rows for one produce, bound where the address has them."""
    factory = forms.formset_factory(WantedForm, formset=WantedForms, extra=ROWS, max_num=ROWS)
    return factory(data, form_kwargs={"produce": produce})  # type: ignore[return-value]
