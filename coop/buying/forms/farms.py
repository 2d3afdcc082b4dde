"""Forms of farms and their offers."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.buying.actions.farms import FarmTerms, OfferTerms, terms_of
from coop.buying.models import Farm, Measure, Offer
from coop.people.models import Coop
from coop.web.fields import AmountField, MoneyField

#: Prices that the form has room for: one from the first container on, and three breaks.
PRICES = 4
MOST_MILES = 2000
MOST_CONTAINERS = 10_000


class FarmForm(forms.Form):
    """Who sells, how to reach them, and how far it is."""

    name = forms.CharField(max_length=120)
    contact = forms.CharField(max_length=120, required=False, label="Whom to ask for")
    phone = forms.CharField(
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    address = forms.CharField(max_length=200, required=False)
    round_trip_miles = forms.IntegerField(
        min_value=0,
        max_value=MOST_MILES,
        initial=0,
        label="Round trip",
        help_text="From the usual pickup place, there and back. The cost of the trip follows.",
    )
    note = forms.CharField(max_length=400, required=False, widget=forms.Textarea({"rows": 3}))

    @staticmethod
    def initial_of(farm: Farm) -> dict[str, Any]:
        """What the form shows of a farm."""
        return {name: getattr(farm, name) for name in FarmForm.base_fields}

    def terms(self) -> FarmTerms:
        """What was typed, once it is valid."""
        return FarmTerms(**self.cleaned_data)


class OfferForm(forms.Form):
    """One line of a price list. The size is read in the unit that was chosen."""

    produce = forms.CharField(max_length=80, help_text="With its kind: sweet corn, paste tomatoes")
    container = forms.CharField(
        max_length=40, initial="bushel", help_text="bushel, lug, crate, flat, bag, dozen …"
    )
    measure = forms.ChoiceField(
        label="Counted in",
        choices=[(Measure.WEIGHT, "pounds"), (Measure.COUNT, "pieces")],
        widget=forms.RadioSelect,
        initial=Measure.WEIGHT,
    )
    size = forms.CharField(
        max_length=20,
        label="In one container",
        help_text="Net pounds, or how many pieces, as the farm promises it",
        widget=forms.TextInput({"inputmode": "decimal", "autocomplete": "off"}),
    )
    available = forms.IntegerField(
        min_value=0,
        max_value=MOST_CONTAINERS,
        required=False,
        label="The farm has",
        help_text="Containers. Empty means as many as we like.",
    )
    at_least = forms.IntegerField(
        min_value=0,
        max_value=MOST_CONTAINERS,
        required=False,
        label="Sells no fewer than",
        help_text="Containers, if there is such a minimum",
    )
    note = forms.CharField(
        max_length=200, required=False, help_text="Grade, variety, when it is ripe"
    )

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        for row in range(1, PRICES + 1):
            if row > 1:
                self.fields[f"from_{row}"] = forms.IntegerField(
                    min_value=2,
                    max_value=MOST_CONTAINERS,
                    required=False,
                    label=f"From this many ({row - 1})",
                )
            self.fields[f"price_{row}"] = MoneyField(
                coop.currency,
                required=row == 1,
                label="Price of one container" if row == 1 else f"Each then costs ({row - 1})",
            )

    @property
    def breaks(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The pairs of fields of the price breaks."""
        return [(self[f"from_{row}"], self[f"price_{row}"]) for row in range(2, PRICES + 1)]

    @staticmethod
    def initial_of(offer: Offer) -> dict[str, Any]:
        """What the form shows of an offer."""
        terms = terms_of(offer)
        names = ("produce", "container", "measure", "available", "at_least", "note")
        shown: dict[str, Any] = {name: getattr(terms, name) for name in names}
        shown["size"] = AmountField(terms.measure).prepare_value(terms.size)
        for row, (count, cents) in enumerate(terms.prices, start=1):
            shown |= {f"from_{row}": count, f"price_{row}": cents}
        return shown

    def clean(self) -> dict[str, Any]:
        """Read the size in its unit, and see that each break has both its numbers."""
        cleaned = super().clean() or self.cleaned_data
        if "measure" in cleaned and "size" in cleaned:
            try:
                cleaned["size"] = AmountField(cleaned["measure"], least=1).clean(cleaned["size"])
            except forms.ValidationError as error:
                self.add_error("size", error)
        for row in range(2, PRICES + 1):
            count, price = cleaned.get(f"from_{row}"), cleaned.get(f"price_{row}")
            if count is not None and price is None and f"price_{row}" not in self.errors:
                self.add_error(f"price_{row}", "Say what each costs then.")
            if price is not None and count is None and f"from_{row}" not in self.errors:
                self.add_error(f"from_{row}", "Say from how many on.")
        return cleaned

    def terms(self) -> OfferTerms:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        breaks = [
            (typed[f"from_{row}"], typed[f"price_{row}"])
            for row in range(2, PRICES + 1)
            if typed[f"from_{row}"] is not None
        ]
        return OfferTerms(
            produce=typed["produce"],
            container=typed["container"],
            measure=typed["measure"],
            size=typed["size"],
            prices=((1, typed["price_1"]), *breaks),
            available=typed["available"],
            at_least=typed["at_least"] or 0,
            note=typed["note"],
        )
