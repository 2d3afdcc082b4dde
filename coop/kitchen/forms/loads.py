"""What is typed of a load, with wet hands: how it was run, and whose jars were in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from coop.core.preserving import method_words
from coop.core.tables import METHODS, PRESSURE_METHODS, rule
from coop.kitchen.actions.loads import AsRun
from coop.kitchen.actions.lots import JarsIn
from coop.kitchen.forms.jar_rows import JarsRow, jars_in, require_row, row_fields, row_of
from coop.kitchen.models import Kitchen, Load
from coop.kitchen.queries.altitude import coops_altitude
from coop.kitchen.queries.kitchens import kitchens_to_offer
from coop.kitchen.queries.loads import (
    RowStart,
    canned_choices,
    members_now,
)
from coop.people.models import Coop
from coop.web.fields import LocalDateTimeField

MOST_ROWS = 8  # a canner holds few more jars; others can be added to the load
MOST_MINUTES = 600
MOST_PSI = 30
MOST_RESTARTS = 20
MOST_VENTED = 120
METHOD_CHOICES = [(method, method_words(method).capitalize()) for method in METHODS]


class RunForm(forms.Form):
    """How a load was run. Venting, pressure and the gauge are asked of a pressure canner alone."""

    def __init__(self, *args: Any, coop: Coop, method: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.coop, self.method = coop, method
        self.fields |= _canner_fields(method) | _run_fields(coop, method) | _watch_fields(coop)

    @property
    def needs_yes(self) -> bool:
        """Whether the load fell short, so that the box to tick is shown."""
        return bool(self.errors.get("ran_so") or self["ran_so"].value())

    @property
    def says_more(self) -> bool:
        """Whether one of the rarer fields is filled in or wrong, or is asked for."""
        names = ("watcher_name", "restarts", "note")
        asked = self.is_bound and self["watcher"].errors
        return bool(asked or any(self[name].value() or self[name].errors for name in names))

    @property
    def ran_so(self) -> bool:
        """Whether it was really run like this."""
        return bool(self.cleaned_data["ran_so"])

    def run(self, kitchen: Kitchen | None) -> AsRun:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        return AsRun(
            canner=typed["canner"],
            method=self.method,
            ended_at=typed["ended_at"],
            minutes=typed["minutes"],
            psi=typed.get("psi"),
            vent_minutes=typed.get("vent_minutes"),
            restarts=typed["restarts"] or 0,
            gauge_tested_on=typed.get("gauge_tested_on"),
            kitchen=kitchen,
            watcher=typed["watcher"],
            watcher_name=typed["watcher_name"],
            note=typed["note"],
        )


class LoadForm(RunForm):
    """A load with the first lines of jars."""

    def __init__(
        self, *args: Any, altitude_ft: int, rows: int, starts: Sequence[RowStart], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.starts = list(starts)
        self.rows = min(max(rows, len(starts), 1), MOST_ROWS)
        extra = [start.filled for start in starts if start.filled]
        self.choices = canned_choices(self.method, altitude_ft, extra)
        for row in range(self.rows):
            self.fields |= row_fields(self.coop, self.choices, row)

    @property
    def jar_rows(self) -> list[JarsRow]:
        """The lines of jars, in order."""
        return [row_of(self, row) for row in range(self.rows)]

    @property
    def can_have_more(self) -> bool:
        """Whether there is room for one more line."""
        return self.rows < MOST_ROWS

    def clean(self) -> dict[str, Any]:
        """A line that says something says all of it."""
        for row in range(self.rows):
            if row == 0 or self._is_used(row):
                require_row(self, row)
        return self.cleaned_data

    def jars(self) -> list[JarsIn]:
        """The lines that are filled in."""
        starts = dict(enumerate(self.starts))
        return [
            jars_in(self, row, starts.get(row))
            for row in range(self.rows)
            if row == 0 or self._is_used(row)
        ]

    def _is_used(self, row: int) -> bool:
        typed = self.cleaned_data
        return bool(typed.get(f"key_{row}") or typed.get(f"count_{row}"))


class AddLotForm(forms.Form):
    """One more line of jars for a load."""

    def __init__(
        self, *args: Any, load: Load, start: RowStart | None = None, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.start = start
        extra = [start.filled] if start and start.filled else []
        choices = canned_choices(load.method, load.altitude_ft, extra)
        self.fields |= row_fields(load.coop, choices, 0)
        self.fields["note"] = forms.CharField(
            required=False, max_length=200, help_text="What sets these jars apart from others."
        )
        self.fields["ran_so"] = _ran_so()

    @property
    def row(self) -> JarsRow:
        """Its one line."""
        return row_of(self, 0)

    @property
    def needs_yes(self) -> bool:
        """Whether the load fell short for these jars, so that the box to tick is shown."""
        return bool(self.errors.get("ran_so") or self["ran_so"].value())

    def clean(self) -> dict[str, Any]:
        """The line says all of it."""
        require_row(self, 0)
        return self.cleaned_data

    def jars(self) -> JarsIn:
        """What was typed."""
        return jars_in(self, 0, self.start, note=self.cleaned_data["note"])


class EditLoadForm(RunForm):
    """A load to be mended: its canner's kind and its kitchen may have been wrong as well."""

    def __init__(self, *args: Any, load: Load, **options: Any) -> None:
        options.setdefault("initial", {name: getattr(load, name) for name in AsRun.__annotations__})
        method = str((args[0] if args and args[0] else {}).get("method", load.method))
        super().__init__(
            *args, coop=load.coop, method=method if method in METHODS else load.method, **options
        )
        self.fields |= _pressure_fields(required=False)
        self.fields["method"] = forms.ChoiceField(choices=METHOD_CHOICES, label="Kind of canner")
        self.fields["kitchen"] = kitchen_field(load.coop, load.by.household_id, load.kitchen_id)


class SuspectForm(forms.Form):
    """What went wrong with a load."""

    why = forms.CharField(
        max_length=300,
        label="What went wrong",
        help_text="No venting, wrong pressure or altitude, a gauge that reads wrong, a bad jar.",
        widget=forms.Textarea({"rows": 3}),
    )


def kitchen_field(
    coop: Coop, household_id: int | None, keep: int | None = None
) -> forms.ModelChoiceField[Kitchen]:
    """Where it was cooked: the co-op's kitchens, the household's own, and the one to keep."""
    return forms.ModelChoiceField(
        kitchens_to_offer(coop, household_id, keep),
        required=False,
        label="Kitchen",
        empty_label=coops_altitude(coop),
    )


def _canner_fields(method: str) -> dict[str, forms.Field]:
    pressure = _pressure_fields() if method in PRESSURE_METHODS else {}
    if method != "dial_gauge":
        pressure.pop("gauge_tested_on", None)
    return {
        "canner": forms.CharField(
            max_length=80,
            label="Which canner",
            help_text="As you all call it.",
            widget=forms.TextInput({"list": "canners", "autocomplete": "off"}),
        ),
        **pressure,
    }


def _pressure_fields(*, required: bool = True) -> dict[str, forms.Field]:
    return {
        "psi": forms.IntegerField(
            required=required, min_value=1, max_value=MOST_PSI, label="Pressure, as run"
        ),
        "vent_minutes": forms.IntegerField(
            required=required,
            min_value=0,
            max_value=MOST_VENTED,
            initial=int(rule("pressure", "vent_minutes")),
            label="Vented for",
        ),
        "gauge_tested_on": forms.DateField(
            required=False,
            label="Its gauge was last tested on",
            help_text="For a dial gauge.",
            widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        ),
    }


def _run_fields(coop: Coop, method: str) -> dict[str, forms.Field]:
    fell = "boiling stopped" if method == "boiling_water" else "pressure fell"
    return {
        "ended_at": LocalDateTimeField(
            coop.time_zone, label="The heat went off", help_text="The end of the process."
        ),
        "minutes": forms.IntegerField(min_value=1, max_value=MOST_MINUTES, label="Minutes, as run"),
        "restarts": forms.IntegerField(
            required=False,
            min_value=0,
            max_value=MOST_RESTARTS,
            label=f"How often the {fell} and the time began again",
        ),
        "ran_so": _ran_so(),
    }


def _watch_fields(coop: Coop) -> dict[str, forms.Field]:
    return {
        "watcher": forms.ModelChoiceField(
            members_now(coop), required=False, label="Who watched", empty_label="Somebody else"
        ),
        "watcher_name": forms.CharField(
            required=False, max_length=80, label="Their name, if it was somebody else"
        ),
        "note": forms.CharField(
            required=False, max_length=400, label="Note", widget=forms.Textarea({"rows": 3})
        ),
    }


def _ran_so() -> forms.BooleanField:
    return forms.BooleanField(required=False, label="It was run like this")
