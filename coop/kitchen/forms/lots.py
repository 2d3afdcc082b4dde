"""What is typed of a lot: counted out, sealed, what became of the rest; frozen and dried ones."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.buying.forms.costs import households_now
from coop.core.figures import mixed_number
from coop.core.preserving import jar_words
from coop.kitchen.actions.lots import MOST_JARS, Kept
from coop.kitchen.models import Fate, Lot, Use, Way
from coop.kitchen.queries.loads import kept_choices
from coop.kitchen.queries.lots import CONTAINER
from coop.kitchen.queries.seals import headspace_to_freeze
from coop.people.models import Coop

FREEZER_CONTAINERS = ("pint", "quart")


class CountOutForm(forms.Form):
    """How many jars came out, and why not as many as went in."""

    counted_out = forms.IntegerField(min_value=0, max_value=MOST_JARS, label="Jars that came out")
    why = forms.CharField(
        required=False,
        max_length=200,
        label="Why not as many as went in",
        help_text="If they differ: broke in the canner, a miscount, with another household's.",
    )


class SealsForm(forms.Form):
    """How many sealed."""

    sealed = forms.IntegerField(min_value=0, label="Jars that sealed")

    def __init__(self, *args: Any, lot: Lot, **options: Any) -> None:
        super().__init__(*args, **options)
        most = lot.counted_out or 0
        self.fields["sealed"] = forms.IntegerField(
            min_value=0, max_value=most, label=f"How many of the {most} sealed"
        )


class FatesForm(forms.Form):
    """What became of the jars that did not seal, how many of each."""

    def __init__(
        self, *args: Any, can_reprocess: bool, is_suspect: bool = False, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.shown = [what for what in Fate.What if can_reprocess or what != Fate.What.REPROCESSED]
        inches = mixed_number(headspace_to_freeze())
        help_texts = {
            Fate.What.REPROCESSED: "With a new lid, for the whole time.",
            Fate.What.FRIDGE: "To be eaten within days.",
            Fate.What.FREEZER: f"Leave {inches} in of headspace.",
        }
        for what in self.shown:
            self.fields[what.value] = forms.IntegerField(
                required=False,
                min_value=0,
                max_value=MOST_JARS,
                label=what.label.split(",")[0].capitalize(),
                # Nobody eats from a suspect load, so nothing is said of how to keep it for eating.
                help_text="" if is_suspect else help_texts.get(what, ""),
            )
        self.fields["note"] = forms.CharField(required=False, max_length=200)

    @property
    def counts(self) -> list[forms.BoundField]:
        """The boxes of the counts."""
        return [self[what.value] for what in self.shown]

    def fates(self, known: dict[str, Fate]) -> dict[str, int]:
        """How many of each; what is not offered any more stays as it was told."""
        kept = {what: fate.count for what, fate in known.items()}
        return kept | {what.value: self.cleaned_data[what.value] or 0 for what in self.shown}


class KeptForm(forms.Form):
    """What was frozen or dried."""

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        containers = [(jar, f"{jar_words(jar)} {CONTAINER}s") for jar in FREEZER_CONTAINERS]
        self.fields |= {
            "household": forms.ModelChoiceField(
                households_now(coop), label="Household", empty_label="Whose?"
            ),
            "key": forms.ChoiceField(
                choices=[("", "What is it?"), *kept_choices()], label="What, and how"
            ),
            "jar": forms.ChoiceField(
                required=False,
                choices=[("", "packets, dried"), *containers],
                label="In what",
            ),
            "count": forms.IntegerField(min_value=1, max_value=MOST_JARS, label="How many"),
            "made_on": forms.DateField(
                label="Frozen or dried on",
                widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
            ),
            "note": forms.CharField(required=False, max_length=200),
        }

    def clean(self) -> dict[str, Any]:
        """What is frozen stands in a container."""
        typed = self.cleaned_data
        if typed.get("key", "").startswith(Way.FREEZE.value) and not typed.get("jar"):
            self.add_error("jar", "Say in which containers it is frozen.")
        return typed

    def kept(self, use: Use | None) -> Kept:
        """What was typed; it comes of the use while whose and what are the use's."""
        typed = self.cleaned_data
        way, produce, form = typed["key"].split("|")
        household = typed["household"]
        if use and (use.plan.household_id, use.food, use.way) != (
            household.pk,
            produce,
            way,
        ):
            use = None
        return Kept(
            household=household,
            way=way,
            produce=produce,
            form=form,
            count=typed["count"],
            made_on=typed["made_on"],
            jar=typed["jar"],
            use=use,
            note=typed["note"],
        )


def kept_as(use: Use) -> dict[str, Any]:
    """What the form shows of a use; what is there is counted by hand."""
    key = f"{use.way}|{use.food}|{use.product}"
    jar = use.jar if use.way == Way.FREEZE else ""
    return {"household": use.plan.household_id, "key": key, "jar": jar}
