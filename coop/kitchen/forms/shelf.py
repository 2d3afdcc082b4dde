"""What is typed to take jars from the shelf."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.kitchen.models import Lot, Taken
from coop.kitchen.queries.shelf import households_to_choose
from coop.people.models import Household
from coop.web.fields import ExactField

#: Longer than any shelf.
MOST_JARS = 10_000

WORDS = {
    Taken.What.USED: "Used",
    Taken.What.GIVEN: "Given to another household",
    Taken.What.THROWN_OUT: "Thrown out",
}


class TakeForm(forms.Form):
    """How many, and where they went."""

    what = forms.ChoiceField(
        label="What became of them",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what became of them."},
    )

    def __init__(self, *args: Any, lot: Lot, is_good: bool, **options: Any) -> None:
        used, thrown = Taken.What.USED, Taken.What.THROWN_OUT
        options.setdefault("initial", {"count": 1, "what": used if is_good else thrown})
        super().__init__(*args, **options)
        what = self.fields["what"]
        assert isinstance(what, forms.ChoiceField)  # noqa: S101 - told to the type check
        what.choices = [
            (key, word) for key, word in WORDS.items() if is_good or key != Taken.What.GIVEN
        ]
        self.fields["count"] = ExactField(
            label="How many", least=1, most=MOST_JARS, shown_unit="jar"
        )
        self.fields["given_to"] = forms.ModelChoiceField(
            households_to_choose(lot.coop).exclude(pk=lot.household_id),
            label="Given to",
            required=False,
            empty_label="nobody",
            help_text="So that they can be found if something is wrong with the lot.",
        )
        if not is_good:
            del self.fields["given_to"]
        self.order_fields(["count", "what", "given_to"])

    def clean(self) -> dict[str, Any]:
        """A household is named where, and only where, something was given."""
        typed = super().clean() or {}
        if typed.get("what") != Taken.What.GIVEN and typed.get("given_to"):
            self.add_error(
                "given_to",
                "A household is chosen here: say above that they were given, or choose nobody.",
            )
        return typed


class PantryForm(forms.Form):
    """Whose shelf."""

    def __init__(self, *args: Any, household: Household, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["household"] = forms.ModelChoiceField(
            households_to_choose(household.coop, household),
            label="Whose shelf",
            empty_label=None,
            initial=household,
        )
