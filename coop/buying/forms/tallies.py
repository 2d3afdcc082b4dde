"""What is typed at the barn: the tally of one supply."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from coop.buying.actions.tally import Loaded, OnScale
from coop.buying.models import Supply, Tally
from coop.core.figures import plural
from coop.web.fields import AmountField, MoneyField

#: Lines for the scale: one a container up to this many, and no more than that at most.
ROWS_AT_FIRST = 12
MOST_ROWS = 60
MORE_ROWS = 6
MOST_CONTAINERS = 10_000


@dataclass(frozen=True)
class ScaleRow:
    """The two boxes of one weighing."""

    number: int
    containers: BoundField
    gross: BoundField


class TallyForm(forms.Form):
    """Containers counted, the scale, what was refused or culled, and the farm's bill."""

    def __init__(
        self, *args: Any, supply: Supply, tally: Tally | None, rows: int, **options: Any
    ) -> None:
        options.setdefault("initial", _initial(supply, tally))
        super().__init__(*args, **options)
        self.supply = supply
        self.rows = min(max(rows, 1), MOST_ROWS)
        self._add_fields()

    def _add_fields(self) -> None:
        measure = self.supply.line.measure
        currency = self.supply.farm.coop.currency
        container = self.supply.container
        self.fields |= {
            "containers": forms.IntegerField(
                label=f"How many {plural(2, container)} came",
                min_value=0,
                max_value=MOST_CONTAINERS,
                help_text="0 if nothing came.",
            ),
            "tare": AmountField(measure, required=False, label=f"An empty {container} weighs"),
            **{f"count_{row}": _count_field(row) for row in range(self.rows)},
            **{
                f"gross_{row}": AmountField(measure, required=False, label=f"Scale, line {row + 1}")
                for row in range(self.rows)
            },
            "refused": AmountField(
                measure,
                required=False,
                label="Refused",
                help_text="Left with the farm and not paid for.",
            ),
            "culls": AmountField(
                measure,
                required=False,
                label="Culls",
                help_text="Paid for and fit for nobody. They belong to the lot.",
            ),
            "soft": AmountField(measure, required=False, label="Soft, for today"),
            "firm": AmountField(measure, required=False, label="Firm, for later"),
            "grade": forms.CharField(
                required=False,
                max_length=40,
                label="Grade",
                help_text="As the farm calls it: firsts, seconds, field run.",
            ),
            "bill": MoneyField(currency, label="The farm charges"),
            "bill_is": forms.ChoiceField(
                label="That is",
                choices=[("all", "for all of it"), ("each", f"for each {container}")],
                widget=forms.RadioSelect,
                initial="all",
            ),
            "note": forms.CharField(
                required=False, max_length=400, label="Note", widget=forms.Textarea
            ),
        }

    @property
    def scale_rows(self) -> list[ScaleRow]:
        """The lines for the scale, in order."""
        return [
            ScaleRow(row + 1, self[f"count_{row}"], self[f"gross_{row}"])
            for row in range(self.rows)
        ]

    @property
    def says_more(self) -> bool:
        """Whether anything beyond the scale and the bill is filled in or wrong."""
        names = ("refused", "culls", "soft", "firm", "grade", "note")
        return any(self[name].value() or self[name].errors for name in names)

    def loaded(self) -> Loaded:
        """What was typed, in base steps and cents."""
        typed = self.cleaned_data
        tare = typed["tare"] or 0
        weighings = [
            OnScale(count := typed[f"count_{row}"] or 1, typed[f"gross_{row}"], tare * count)
            for row in range(self.rows)
            if typed[f"gross_{row}"] is not None
        ]
        times = typed["containers"] if typed["bill_is"] == "each" else 1
        return Loaded(
            containers=typed["containers"],
            weighings=tuple(weighings),
            refused=typed["refused"] or 0,
            culls=typed["culls"] or 0,
            soft=typed["soft"] or 0,
            firm=typed["firm"] or 0,
            grade=typed["grade"],
            bill_cents=typed["bill"] * times,
            note=typed["note"],
        )


def rows_for(supply: Supply, tally: Tally | None) -> int:
    """How many lines for the scale to start with."""
    if tally:
        return max(1, tally.weighings.count())
    return min(max(1, supply.called_in or 0), ROWS_AT_FIRST)


def _count_field(row: int) -> forms.IntegerField:
    return forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_CONTAINERS,
        initial=1,
        label=f"Containers on the scale, line {row + 1}",
    )


def _initial(supply: Supply, tally: Tally | None) -> dict[str, Any]:
    """What is known already, as the fields read it."""
    if tally is None:
        return {"bill_is": "all"}
    names = ("refused", "culls", "soft", "firm", "grade", "note")
    initial: dict[str, Any] = {name: getattr(tally, name) or "" for name in names}
    initial |= {"containers": tally.containers, "bill": tally.bill_cents, "bill_is": "all"}
    for row, weighing in enumerate(tally.weighings.all()):
        initial[f"count_{row}"] = weighing.containers
        initial[f"gross_{row}"] = weighing.gross
        initial["tare"] = weighing.tare // weighing.containers
    return initial
