"""One line of jars in the form of a load: whose, what, in which jars, how many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from coop.buying.forms.costs import households_now
from coop.jars.kinds import Mouth
from coop.kitchen.actions.lots import MOST_JARS, JarsIn
from coop.kitchen.queries.loads import RowStart, filled_of_key, key_of
from coop.people.models import Coop, Member


@dataclass(frozen=True)
class JarsRow:
    """The boxes of one line of jars."""

    number: int
    household: BoundField
    key: BoundField
    count: BoundField
    mouth: BoundField
    what: BoundField


def starts_as(starts: Sequence[RowStart], by: Member) -> dict[str, Any]:
    """The lines as the fields read them; the first is of the member's own household."""
    initial: dict[str, Any] = {"household_0": by.household_id}
    for row, start in enumerate(starts):
        values = {
            "household": start.household and start.household.pk,
            "key": start.filled and key_of(start.filled),
            "count": start.count,
            "mouth": start.mouth,
        }
        initial |= {f"{name}_{row}": value for name, value in values.items() if value}
    return initial


def row_fields(coop: Coop, choices: Any, row: int) -> dict[str, forms.Field]:
    """The fields of one line of jars."""
    return {
        f"household_{row}": forms.ModelChoiceField(
            households_now(coop), required=False, label="Household", empty_label="Whose?"
        ),
        f"key_{row}": forms.ChoiceField(
            choices=[("", "What is in them?"), *choices],
            required=False,
            label="What, in which jars",
        ),
        f"count_{row}": forms.IntegerField(
            required=False, min_value=1, max_value=MOST_JARS, label="Jars that went in"
        ),
        f"mouth_{row}": forms.ChoiceField(
            choices=Mouth.choices, required=False, initial=Mouth.REGULAR, label="Mouth"
        ),
        f"what_{row}": forms.CharField(
            required=False,
            max_length=40,
            label="What it is, if the tables do not have it",
        ),
    }


def row_of(form: forms.Form, row: int) -> JarsRow:
    """The boxes of a line."""
    names = ("household", "key", "count", "mouth", "what")
    return JarsRow(row + 1, *(form[f"{name}_{row}"] for name in names))


def require_row(form: forms.Form, row: int) -> None:
    """Say at each box of a line what is missing."""
    typed = form.cleaned_data
    missing = {
        "household": "Say whose jars these are.",
        "key": "Say what is in them.",
        "count": "Count the jars that went in.",
    }
    for name, sentence in missing.items():
        field = f"{name}_{row}"
        if not typed.get(field) and not form.errors.get(field):
            form.add_error(field, sentence)
    key = typed.get(f"key_{row}") or ""
    if key.startswith("|") and not typed.get(f"what_{row}"):
        form.add_error(f"what_{row}", "Say what it is.")


def jars_in(form: forms.Form, row: int, start: RowStart | None, *, note: str = "") -> JarsIn:
    """One line as the act takes it. It comes of the use while whose and what are the use's."""
    typed = form.cleaned_data
    household = typed[f"household_{row}"]
    filled = filled_of_key(typed[f"key_{row}"], typed[f"what_{row}"])
    use = start.use if start else None
    if use and (use.plan.household_id, use.food) != (household.pk, filled.produce):
        use = None
    mouth = typed[f"mouth_{row}"] or Mouth.REGULAR
    return JarsIn(household, filled, typed[f"count_{row}"], mouth, use, note)
