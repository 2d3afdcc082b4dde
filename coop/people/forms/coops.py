"""Forms about a co-op itself."""

from __future__ import annotations

from functools import cache
from typing import Any
from zoneinfo import available_timezones

from babel import Locale
from babel.numbers import get_territory_currencies
from django import forms

from coop.buying.models import Measure
from coop.people.actions.coops import Settings
from coop.people.models import Coop
from coop.people.slugs import LONGEST, slug_from
from coop.web.fields import AmountField, MoneyField

REGIONS = frozenset(
    [
        "Africa",
        "America",
        "Antarctica",
        "Asia",
        "Atlantic",
        "Australia",
        "Europe",
        "Indian",
        "Pacific",
        "UTC",
    ]
)
LOWEST_FT, HIGHEST_FT = -1400, 15000
COARSEST_STEP_TENTHS = 500
MOST_CENTS_A_MILE = 100_000

Choices = list[tuple[str, str]]


@cache
def time_zones() -> Choices:
    """Every zone that a clock on a wall follows, by name."""
    zones = [zone for zone in available_timezones() if zone.split("/")[0] in REGIONS]
    return [(zone, zone.replace("_", " ").replace("/", ", ")) for zone in sorted(zones)]


@cache
def currencies() -> Choices:
    """Every currency that is legal tender somewhere today, by its ISO 4217 code."""
    english = Locale("en")
    places = [str(place) for place in english.territories if str(place).isalpha()]
    codes = {code for place in places for code in get_territory_currencies(place)}
    return [(code, f"{code}, {english.currencies[code]}") for code in sorted(codes)]


class CoopForm(forms.Form):
    """What both a new co-op and a standing one settle."""

    name = forms.CharField(label="Name of the co-op", max_length=120)
    time_zone = forms.ChoiceField(
        label="Time zone",
        choices=time_zones,
        initial="America/Denver",
        help_text="All times on the pages are by these clocks.",
    )
    currency = forms.ChoiceField(
        label="Currency",
        choices=currencies,
        initial="USD",
        help_text="It stays for good once a farm has a price.",
    )
    altitude_ft = forms.IntegerField(
        label="Altitude",
        min_value=LOWEST_FT,
        max_value=HIGHEST_FT,
        help_text="Of the kitchen where you preserve: times and pressures depend on it.",
    )


class StartForm(CoopForm):
    """A new co-op and its first household."""

    slug = forms.SlugField(
        label="Address of its pages",
        max_length=LONGEST,
        required=False,
        help_text="Small letters, digits and hyphens. Left empty, it is made from the name.",
    )
    household_name = forms.CharField(
        label="Your household", max_length=80, help_text="As the others know you: a family name."
    )
    field_order = ("name", "slug", "household_name", "altitude_ft", "time_zone", "currency")

    def clean(self) -> dict[str, Any]:
        """Make the address from the name where none was typed."""
        values = super().clean() or {}
        slug = (values.get("slug") or slug_from(values.get("name", ""))).lower()
        if not slug and "slug" not in self.errors and "name" in values:
            self.add_error("slug", "Type an address: none could be made from the name.")
        return values | {"slug": slug}

    def settings(self) -> Settings:
        """What was typed, with our defaults for the rest."""
        values = self.cleaned_data
        return Settings(
            name=values["name"],
            time_zone=values["time_zone"],
            currency=values["currency"],
            altitude_ft=values["altitude_ft"],
            division_step_tenths=Coop._meta.get_field("division_step_tenths").default,
            trip_cents_per_mile=0,
        )


class SettingsForm(CoopForm):
    """The settings of a standing co-op."""

    def __init__(self, coop: Coop, *args: Any, currency_stays: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["division_step_tenths"] = AmountField(
            Measure.WEIGHT,
            label="Shares are divided in steps of",
            least=1,
            most=COARSEST_STEP_TENTHS,
            help_text="Half a pound is fine enough for a hanging scale. It holds for new lines.",
        )
        self.fields["trip_cents_per_mile"] = MoneyField(
            coop.currency,
            label="Fuel, for each mile driven",
            most=MOST_CENTS_A_MILE,
            help_text="What a trip to a farm is reckoned at before the receipt is there.",
        )
        if currency_stays:
            self.fields["currency"].disabled = True
            self.fields["currency"].help_text = "The books and prices are kept in it, so it stays."
        names = Settings.__dataclass_fields__
        self.initial = {name: getattr(coop, name) for name in names}

    def settings(self) -> Settings:
        """What was typed."""
        return Settings(**{name: self.cleaned_data[name] for name in Settings.__dataclass_fields__})
