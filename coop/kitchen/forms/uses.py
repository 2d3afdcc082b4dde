"""The form of a use: only what is published for the way that was chosen is asked."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.core.figures import mixed_number, quantity
from coop.core.preserving import (
    Acid,
    Process,
    acid_words,
    jar_words,
    salt_needed,
    syrup_words,
    syrups_for,
)
from coop.jars.kinds import Mouth
from coop.kitchen.actions.uses import UseTerms
from coop.kitchen.forms.numbers import WholeField
from coop.kitchen.models import Use, Way
from coop.kitchen.queries.ways import (
    FREEZER_CONTAINERS,
    Row,
    acids_of,
    load_choices,
    usual_load,
)
from coop.web.fields import AmountField

HALF, ALL, SOME = "half", "all", "some"
OTHER = "other"
MOST_JARS, MOST_IN_A_LOAD = 2000, 60


class UseForm(forms.Form):
    """How much goes this way, in which jars, how many to a load, with which acid.

    `left` are the tenths of a pound that no other use of the plan has.
    """

    def __init__(self, *args: Any, row: Row, left: int, **options: Any) -> None:
        super().__init__(*args, **options)
        self.row, self.left = row, left
        self._ask_how_much()
        if row.process is not None:
            self._ask_for_canning(row.process)
        elif row.key.way == Way.FREEZE and not row.key.jar:
            self.fields["jar"] = forms.ChoiceField(
                label="Freezer containers",
                choices=[(jar, jar_words(jar, 2).capitalize()) for jar in FREEZER_CONTAINERS],
                widget=forms.RadioSelect,
                initial=FREEZER_CONTAINERS[0],
            )
        elif row.key.way == Way.DRY:
            self._ask_for_drying()

    def _ask_how_much(self) -> None:
        if not self.row.has_yield:
            things = "jars" if self.row.key.way == Way.CAN else "containers"
            self.fields["jars"] = WholeField(
                label=f"How many {things}",
                least=1,
                most=MOST_JARS,
                say=f"Write how many {things}, a whole number from 1 to {MOST_JARS:,}.",
                help_text="No yield by the pound is published for this, so it is planned by count.",
            )
            return
        if self.left > 0:
            choices = [(ALL, f"All that is left, {quantity(self.left, 'weight')}")]
            if self.left > 1:
                half = quantity(self.left // 2, "weight")
                choices.append((HALF, f"Half of what is left, {half}"))
            self.fields["how_much"] = forms.ChoiceField(
                label="How much of it",
                choices=[*choices, (SOME, "Another amount")],
                widget=forms.RadioSelect,
                initial=ALL,
                error_messages={"required": "Say how much of it goes this way."},
            )
        self.fields["pounds"] = AmountField(
            "weight",
            least=1,
            required=self.left <= 0,
            label="Pounds of it",
            help_text="For another amount." if self.left > 0 else "All is planned already.",
            error_messages={"required": "Say how many pounds, like 17.5."},
        )

    def _ask_for_canning(self, process: Process) -> None:
        self.fields["mouth"] = forms.ChoiceField(
            label="Mouth of the jars",
            choices=[(mouth.value, mouth.label.capitalize()) for mouth in Mouth],
            widget=forms.RadioSelect,
            initial=Mouth.REGULAR,
            help_text="Lids and bands of one mouth do not fit the other.",
        )
        self._ask_for_loads(process.method, process.jar)
        if acids := acids_of(process):
            self.fields["acid"] = forms.ChoiceField(
                label="Acid, into every jar",
                choices=[(each.acid, _acid_said(each, process.jar)) for each in acids],
                widget=forms.RadioSelect,
                help_text="Required, whatever the canner. Without it the jar is not safe.",
                error_messages={"required": "Choose one: without it the jar is not safe."},
            )
        if syrups := syrups_for(process):
            named = [(each, syrup_words(each).capitalize()) for each in syrups]
            self.fields["syrup"] = forms.ChoiceField(
                required=False, choices=[("", "No syrup"), *named]
            )
        if salt := salt_needed(process, 1):
            self.fields["salt"] = forms.BooleanField(
                required=False,
                label=f"Salt for taste, {mixed_number(salt.amount)} {salt.unit} to a "
                f"{jar_words(process.jar)}",
            )

    def _ask_for_loads(self, method: str, jar: str) -> None:
        loads = load_choices(method, jar)
        if loads:
            self.fields["load"] = forms.ChoiceField(
                label="Jars that a load holds",
                choices=[
                    *((str(each.jars), each.label) for each in loads),
                    (OTHER, "Another number"),
                ],
                widget=forms.RadioSelect,
                initial=str(usual_load(method, jar)),
            )
        self.fields["jars_per_load"] = WholeField(
            label="Another number" if loads else "Jars that a load holds",
            required=not loads,
            least=1,
            most=MOST_IN_A_LOAD,
            say=f"Write how many jars a load holds, a whole number from 1 to {MOST_IN_A_LOAD}.",
            help_text="What your canner holds, by its book."
            if loads
            else "None is published for such jars: what your canner holds, by its book.",
        )

    def _ask_for_drying(self) -> None:
        self.fields["tray_tenths"] = AmountField(
            "weight",
            least=1,
            label="On one tray",
            error_messages={"required": "Say how many pounds go on a tray, like 1.5."},
            help_text="Prepared food that one tray of your dryer takes in a single layer.",
        )

    @staticmethod
    def initial_of(use: Use) -> dict[str, Any]:
        """What the form shows of a use."""
        loads = {str(each.jars) for each in load_choices(use.method, use.jar)}
        published = str(use.jars_per_load) in loads
        return {
            "how_much": SOME,
            "pounds": use.tenths,
            "jars": use.jars,
            "mouth": use.mouth,
            "load": str(use.jars_per_load) if published else OTHER,
            "jars_per_load": None if published else use.jars_per_load,
            "acid": use.acid,
            "syrup": use.syrup,
            "salt": use.salt,
            "tray_tenths": use.tray_tenths,
        }

    def clean(self) -> dict[str, Any]:
        """See that what is chosen to be typed was typed."""
        cleaned = super().clean() or self.cleaned_data
        wants_pounds = cleaned.get("how_much") == SOME and "pounds" not in self.errors
        if wants_pounds and cleaned.get("pounds") is None:
            self.add_error("pounds", "Say how many pounds.")
        wants_load = cleaned.get("load") == OTHER and "jars_per_load" not in self.errors
        if wants_load and cleaned.get("jars_per_load") is None:
            self.add_error("jars_per_load", "Say how many jars a load holds.")
        return cleaned

    def terms(self) -> UseTerms:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        load = typed.get("load") or OTHER
        jars_per_load = typed.get("jars_per_load") if load == OTHER else int(load)
        return UseTerms(
            tenths=self._tenths(),
            jars=typed.get("jars"),
            mouth=typed.get("mouth") or Mouth.REGULAR,
            jars_per_load=jars_per_load or UseTerms.jars_per_load,
            acid=typed.get("acid") or "",
            syrup=typed.get("syrup") or "",
            salt=bool(typed.get("salt")),
            tray_tenths=typed.get("tray_tenths") or 0,
        )

    def _tenths(self) -> int:
        amounts = {ALL: self.left, HALF: self.left // 2}
        how_much = self.cleaned_data.get("how_much", "")
        return amounts.get(how_much, self.cleaned_data.get("pounds") or 0)


def _acid_said(acid: Acid, jar: str) -> str:
    unit = f"{acid.unit}s" if acid.amount > 1 else acid.unit
    said = acid_words(acid.acid).capitalize()
    return f"{said}: {mixed_number(acid.amount)} {unit} to a {jar_words(jar)}"
