"""Forms of plans: what is planned, how much of it, and where it is cooked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.db.models import QuerySet

from coop.buying.models import Farm
from coop.core.preserving import produce_words
from coop.kitchen.actions.plans import PlanTerms
from coop.kitchen.models import Kitchen, Plan
from coop.kitchen.queries.altitude import coops_altitude
from coop.kitchen.queries.kitchens import kitchens_to_offer, own_kitchen
from coop.kitchen.queries.plans import farms_to_choose
from coop.kitchen.queries.ways import produce_keys
from coop.people.models import Coop, Household
from coop.web.fields import AmountField

if TYPE_CHECKING:
    KitchenChoice = forms.ModelChoiceField[Kitchen]
else:  # Django's own class takes no type
    KitchenChoice = forms.ModelChoiceField


class KitchenField(KitchenChoice):
    """A kitchen, by its name and its altitude."""

    def label_from_instance(self, obj: Kitchen) -> str:
        """Name and feet: the altitude is what the choice is about."""
        return f"{obj.name}, {obj.altitude_ft:,} ft"


class PlanForm(forms.Form):
    """What there is, how many pounds, and the kitchen, whose altitude decides the rest."""

    produce = forms.ChoiceField(
        help_text="As the published tables have it; what is not in the list has no tested process.",
        error_messages={"required": "Choose what it is."},
    )
    pounds = AmountField(
        "weight",
        least=1,
        label="How much",
        help_text="As it came from the farm",
        error_messages={"required": "Write how many pounds there are, like 17.5."},
    )
    kitchen = KitchenField(
        queryset=Kitchen.objects.none(),
        required=False,
        help_text="Its altitude decides minutes and pressure.",
        error_messages={"invalid_choice": "Choose a kitchen that is offered to this household."},
    )
    farm = forms.ModelChoiceField(
        queryset=Farm.objects.none(), required=False, empty_label="Not said"
    )
    note = forms.CharField(max_length=400, required=False, widget=forms.Textarea({"rows": 3}))

    def __init__(
        self, *args: Any, household: Household, plan: Plan | None = None, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.for_household, coop = household, household.coop
        choices = [(key, produce_words(key)) for key in produce_keys()]
        self.fields["produce"].choices = [("", "Choose"), *choices]  # type: ignore[attr-defined]
        kept = plan.kitchen_id if plan else None
        kitchens = kitchens_to_offer(coop, household.pk, kept)
        self._offer("kitchen", kitchens, coops_altitude(coop))
        if plan is None and (own := own_kitchen(household.pk)):
            self.initial.setdefault("kitchen", own.pk)
        self._offer("farm", farms_to_choose(coop, plan.farm_id if plan else None), "Not said")

    def _offer(self, name: str, rows: QuerySet[Any], empty_label: str) -> None:
        field = cast("forms.ModelChoiceField[Any]", self.fields[name])
        field.queryset, field.empty_label = rows, empty_label

    @staticmethod
    def initial_of(plan: Plan) -> dict[str, Any]:
        """What the form shows of a plan."""
        return {
            "produce": plan.produce,
            "pounds": plan.tenths,
            "kitchen": plan.kitchen_id,
            "farm": plan.farm_id,
            "note": plan.note,
        }

    def terms(self) -> PlanTerms:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        return PlanTerms(
            produce=typed["produce"],
            tenths=typed["pounds"],
            kitchen=typed["kitchen"],
            farm=typed["farm"],
            note=typed["note"],
        )


class FreePlanForm(PlanForm):
    """A plan of what was typed in, for one of the households that the member acts for."""

    household = forms.ModelChoiceField(queryset=Household.objects.none(), empty_label=None)

    def __init__(self, *args: Any, households: QuerySet[Household], **options: Any) -> None:
        super().__init__(*args, **options)
        self._offer("household", households, "")
        if len(households) == 1:
            self.fields["household"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        """See that the kitchen was chosen out of those of this very household.

        Whoever plans for another household chooses it and the kitchen on one page, which offered
        the kitchens of the household that stood there first.
        """
        cleaned = super().clean() or self.cleaned_data
        household = cleaned.get("household")
        was_offered = household and self.data.get("kitchens_of") == str(household.pk)
        own = own_kitchen(household.pk) if household and not was_offered else None
        if own and not cleaned.get("kitchen") and "kitchen" not in self.errors:
            self.add_error(
                "kitchen",
                f"{own.household} has a kitchen of its own: choose it, or the co-op's altitude.",
            )
        return cleaned


class YieldFilter(forms.Form):
    """Narrows the co-op's own yields down."""

    produce = forms.ChoiceField(required=False)
    farm = forms.ModelChoiceField(
        queryset=Farm.objects.none(), required=False, empty_label="Every farm"
    )

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        used = Plan.objects.filter(coop=coop, uses__outcome__isnull=False)
        keys = sorted(set(used.values_list("produce", flat=True)), key=produce_words)
        self.fields["produce"].choices = [  # type: ignore[attr-defined]
            ("", "Everything"),
            *((key, produce_words(key)) for key in keys),
        ]
        cast("forms.ModelChoiceField[Any]", self.fields["farm"]).queryset = farms_to_choose(coop)
