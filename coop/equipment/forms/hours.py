"""The form of a week's hours: a few spans a weekday, and copies from day to day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from coop.equipment.actions.keeping import MOST_SPANS, DaySpan
from coop.equipment.models import OpenHours
from coop.equipment.words import MINUTES_IN_DAY, MINUTES_IN_HOUR

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
PLACES = range(MOST_SPANS)
#: What each copying button is called, from which day to which days.
COPIES: Mapping[str, tuple[int, range]] = {
    "weekdays": (0, range(1, 5)),
    "all": (0, range(1, 7)),
    "sunday": (5, range(6, 7)),
}


@dataclass(frozen=True)
class Day:
    """The fields of one weekday: pairs of from and to, and the ways to copy them."""

    title: str
    spans: tuple[tuple[BoundField, BoundField], ...]
    copies: tuple[tuple[str, str], ...]

    @property
    def more(self) -> tuple[tuple[BoundField, BoundField], ...]:
        """The pairs after the first, which are folded."""
        return self.spans[1:]

    @property
    def is_open(self) -> bool:
        """Whether something stands in the pairs that are folded."""
        return any(field.value() or field.errors for pair in self.more for field in pair)


class HoursForm(forms.Form):
    """The spans of each weekday. That a thing may be out at any time needs no form."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for day, title in enumerate(DAYS):
            for place in PLACES:
                for end in ("from", "to"):
                    self.fields[f"{end}_{day}_{place}"] = _clock_field(title, end, place)

    @staticmethod
    def initial_of(hours: Iterable[OpenHours]) -> dict[str, Any]:
        """What the form shows of the hours of a thing."""
        initial: dict[str, Any] = {}
        places = dict.fromkeys(range(len(DAYS)), 0)
        for each in hours:
            place = places[each.weekday]
            places[each.weekday] += 1
            initial[f"from_{each.weekday}_{place}"] = _clock(each.from_minute)
            initial[f"to_{each.weekday}_{place}"] = _clock(each.to_minute)
        return initial

    def days(self) -> list[Day]:
        """The week, a day after the other."""
        return [
            Day(
                title,
                tuple((self[f"from_{day}_{place}"], self[f"to_{day}_{place}"]) for place in PLACES),
                {
                    0: (("weekdays", "Copy to Tue to Fri"), ("all", "Copy to every day")),
                    5: (("sunday", "Copy to Sunday"),),
                }.get(day, ()),
            )
            for day, title in enumerate(DAYS)
        ]

    def clean(self) -> dict[str, Any]:
        """Each span has both ends, the first before the second."""
        typed = super().clean() or self.cleaned_data
        for day in range(len(DAYS)):
            for place in PLACES:
                self._check(typed, f"from_{day}_{place}", f"to_{day}_{place}")
        if not self.errors and not self.spans():
            raise ValidationError(
                "Write the hours of at least one day, or choose that it may be out at any time."
            )
        return typed

    def spans(self) -> list[DaySpan]:
        """The spans, once the form is valid."""
        typed = self.cleaned_data
        pairs = (
            (day, typed[f"from_{day}_{place}"], typed[f"to_{day}_{place}"])
            for day in range(len(DAYS))
            for place in PLACES
        )
        return [(day, _minute(start), _end(end)) for day, start, end in pairs if start is not None]

    def copied(self, copy: str) -> HoursForm:
        """The same form, not checked yet, with one day's hours copied to others."""
        source, targets = COPIES.get(copy, (0, range(0)))
        data = {name: self.data.get(name, "") for name in self.fields}
        for target in targets:
            for place in PLACES:
                for end in ("from", "to"):
                    data[f"{end}_{target}_{place}"] = data[f"{end}_{source}_{place}"]
        return HoursForm(initial=data)

    def _check(self, typed: dict[str, Any], first: str, last: str) -> None:
        if first not in typed or last not in typed:
            return
        start, end = typed[first], typed[last]
        if (start is None) != (end is None):
            missing = first if start is None else last
            self.add_error(missing, "Write both: from when, and until when.")
        elif start is not None and _minute(start) >= _end(end):
            self.add_error(
                last,
                "It ends before it begins. For a night write until 0:00, and go on from 0:00 on "
                "the next day.",
            )


def _clock_field(day: str, end: str, place: int) -> forms.TimeField:
    which = f", {('first', 'second', 'third')[place]} hours" if place else ""
    return forms.TimeField(
        required=False,
        label=f"{day} {end}{which}",
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Write a time, like 8:00 or 17:30."},
    )


def _clock(minute: int) -> str:
    """A minute of the day as a field shows it; the midnight that ends the day is 00:00."""
    hour, rest = divmod(minute % MINUTES_IN_DAY, MINUTES_IN_HOUR)
    return f"{hour:02}:{rest:02}"


def _minute(clock: time) -> int:
    return clock.hour * MINUTES_IN_HOUR + clock.minute


def _end(clock: time) -> int:
    """An end at 0:00 is the midnight that ends the day."""
    return _minute(clock) or MINUTES_IN_DAY
