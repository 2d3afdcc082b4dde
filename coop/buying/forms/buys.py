"""Forms of a buy: what it is, its rules, its lines, its close, its order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Any

from django import forms

from coop.buying.actions.buys import BuyPlan, BuyRules
from coop.buying.models import Buy, Offer, Supply
from coop.buying.words import BASES, RULES
from coop.people.models import Coop, Household
from coop.web.fields import LocalDateTimeField, MoneyField
from coop.web.figures import money, quantity

MOST_MINUTES = 24 * 60
MOST_CONTAINERS = 10_000
PLAN_FIELDS = tuple(field.name for field in fields(BuyPlan))
RULE_FIELDS = tuple(field.name for field in fields(BuyRules))


class BuyForm(forms.Form):
    """A buy and its rules. With `buy` it changes one: the close is then no part of it."""

    title = forms.CharField(
        max_length=120, help_text="What and from where, like Sweet corn, Fennick farm"
    )
    pickup_place = forms.CharField(max_length=200, label="Pickup place")
    note = forms.CharField(
        max_length=600,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="What households should know before they ask",
    )
    shortage_rule = forms.ChoiceField(
        label="If less comes than was asked",
        choices=[(value, f"{rule.label}. {rule.sentence}") for value, rule in RULES.items()],
        widget=forms.RadioSelect,
        initial="season",
    )
    grace_minutes = forms.IntegerField(
        min_value=0,
        max_value=MOST_MINUTES,
        initial=30,
        label="Grace after the pickup ends",
        help_text="What is not fetched by then goes to the spare table.",
    )
    fuel_basis = forms.ChoiceField(
        label="The trip is shared", choices=list(BASES.items()), initial=Buy.Basis.BY_TRIP
    )
    other_basis = forms.ChoiceField(
        label="Other costs are shared", choices=list(BASES.items()), initial=Buy.Basis.EQUALLY
    )
    cover = forms.ChoiceField(
        label="Before it is called in",
        choices=[
            (Buy.Cover.COVERED, "It waits until balances and prepayments cover it"),
            (Buy.Cover.FRONTED, "One household fronts the money"),
        ],
        widget=forms.RadioSelect,
        initial=Buy.Cover.COVERED,
    )
    fronted_by = forms.ModelChoiceField(
        Household.objects.none(),
        required=False,
        label="Who fronts it",
        help_text="If a household fronts the money",
        empty_label="Nobody",
    )

    def __init__(
        self,
        *args: Any,
        coop: Coop,
        households: Iterable[Household],
        buy: Buy | None = None,
        frozen: bool = False,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.buy, self.frozen = buy, frozen
        self.fields["fronted_by"].queryset = households  # type: ignore[attr-defined]
        self._add_moments(coop)
        self._add_money(coop)
        if frozen:
            for name in RULE_FIELDS:
                self.fields[name].disabled = True

    def _add_moments(self, coop: Coop) -> None:
        zone = coop.time_zone
        if self.buy is None:
            self.fields["asks_close_at"] = LocalDateTimeField(
                zone, label="Asks close", help_text="Before the farm's own cut-off"
            )
        self.fields["pickup_from"] = LocalDateTimeField(zone, label="Pickup from")
        self.fields["pickup_to"] = LocalDateTimeField(zone, label="Pickup until")

    def _add_money(self, coop: Coop) -> None:
        none = MoneyField(coop.currency).prepare_value(0)
        self.fields["late_change_cents"] = MoneyField(
            coop.currency,
            label="A change after the close costs",
            help_text="Paid by whoever passes an ask on. 0 is nothing.",
            initial=none,
        )
        self.fields["no_show_cents"] = MoneyField(
            coop.currency,
            label="Not coming costs",
            help_text="On top of the produce, which stays charged unless somebody claims it",
            initial=none,
        )
        self.fields["front_limit_cents"] = MoneyField(
            coop.currency,
            required=False,
            label="How much at most",
            help_text="What it fronts for this buy",
        )

    @staticmethod
    def initial_of(buy: Buy) -> dict[str, Any]:
        """What the form shows of a buy."""
        return {name: getattr(buy, name) for name in (*PLAN_FIELDS, *RULE_FIELDS)}

    def plan(self) -> BuyPlan:
        """What was typed of the buy itself; the close as it stands where it is no part."""
        typed = {name: self.cleaned_data[name] for name in PLAN_FIELDS if name in self.fields}
        if self.buy is not None:
            typed["asks_close_at"] = self.buy.asks_close_at
        return BuyPlan(**typed)

    def rules(self) -> BuyRules:
        """What was typed of the rules. Who fronts and how much falls away where nobody fronts."""
        typed = {name: self.cleaned_data[name] for name in RULE_FIELDS}
        if typed["cover"] == Buy.Cover.COVERED:
            typed |= {"fronted_by": None, "front_limit_cents": None}
        return BuyRules(**typed)


def offer_words(offer: Offer, currency: str) -> str:
    """An offer in one line: farm, container with its size, and its prices."""
    prices = ", ".join(
        money(price.cents_each, currency)
        if price.from_count == 1
        else f"from {price.from_count}: {money(price.cents_each, currency)}"
        for price in offer.prices.all()
    )
    size = quantity(offer.size, offer.measure)
    return f"{offer.farm.name}: {offer.container} of {size}, {prices}"


@dataclass(frozen=True)
class OfferChoice:
    """One box to tick."""

    value: str
    words: str
    is_checked: bool


@dataclass(frozen=True)
class OfferGroup:
    """The offers of one produce."""

    produce: str
    choices: list[OfferChoice]


class LineForm(forms.Form):
    """A line of a buy: the offers that it draws on, and what it is called."""

    offers = forms.MultipleChoiceField(
        label="What it draws on",
        widget=forms.CheckboxSelectMultiple,
        help_text="Several farms may supply one line. Terms are kept as they are today.",
        error_messages={"required": "Choose at least one offer."},
    )
    produce = forms.CharField(
        max_length=80,
        required=False,
        label="Call it",
        help_text="Empty: as the first offer calls it",
    )

    def __init__(self, *args: Any, offers: Iterable[Offer], currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        groups: dict[str, list[tuple[str, str]]] = {}
        for offer in offers:
            choice = (str(offer.pk), offer_words(offer, currency))
            groups.setdefault(offer.produce, []).append(choice)
        self.fields["offers"].choices = list(groups.items())  # type: ignore[attr-defined]

    @property
    def groups(self) -> list[OfferGroup]:
        """The choices by produce, ticked as they were sent."""
        ticked = set(self.data.getlist("offers")) if self.is_bound else set()  # type: ignore[attr-defined]
        field = self.fields["offers"]
        return [
            OfferGroup(
                produce,
                [OfferChoice(value, words, value in ticked) for value, words in choices],
            )
            for produce, choices in field.choices  # type: ignore[attr-defined]
        ]

    def offer_ids(self) -> list[int]:
        """The offers chosen."""
        return [int(value) for value in self.cleaned_data["offers"]]


class ReopenForm(forms.Form):
    """Until when asks are open."""

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["until"] = LocalDateTimeField(coop.time_zone, label="Asks close")


class ReasonForm(forms.Form):
    """Why a stage goes back, or a buy is called off."""

    why = forms.CharField(
        max_length=200,
        label="Why",
        help_text="Everybody in the co-op can read it.",
        error_messages={"required": "Say why: everybody will read it."},
    )


class CountsForm(forms.Form):
    """How many containers of each supply, by hand."""

    def __init__(self, *args: Any, supplies: Sequence[Supply], **options: Any) -> None:
        super().__init__(*args, **options)
        self.supplies = supplies
        for supply in supplies:
            self.fields[f"n-{supply.pk}"] = forms.IntegerField(
                min_value=0,
                max_value=MOST_CONTAINERS,
                label=f"{supply.farm.name}: {supply.container}",
                widget=forms.TextInput({"inputmode": "numeric", "autocomplete": "off"}),
            )

    @property
    def rows(self) -> list[tuple[Supply, forms.BoundField]]:
        """Each supply with its field."""
        return [(supply, self[f"n-{supply.pk}"]) for supply in self.supplies]

    def counts(self) -> dict[int, int]:
        """Containers by supply, once it is valid."""
        return {supply.pk: self.cleaned_data[f"n-{supply.pk}"] for supply in self.supplies}


class CallInForm(CountsForm):
    """The order as it was placed."""

    spoke_to = forms.CharField(max_length=120, required=False, label="Whom you spoke to")
    note = forms.CharField(
        max_length=400,
        required=False,
        label="What was agreed",
        widget=forms.Textarea({"rows": 3}),
        help_text="When it is ready, where to drive up, what to bring",
    )
