"""The form of what a member wants of notices: of all, and of each kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from coop.notices.actions.choices import Clocks
from coop.notices.kinds import ByMail, InCalendar, Kind, all_kinds
from coop.notices.models import Choice
from coop.notices.queries.choices import Chosen, first_of, kinds_by_part
from coop.notices.queries.meanings import Meaning, Meanings

#: The quick way: what each button is called, and how all mail comes then. None: as at first.
SMALL = "small"
QUICK: dict[str, tuple[str, ByMail | None]] = {
    SMALL: ("What can wait in one mail a day", ByMail.DAILY),
    "daily": ("All in one mail a day", ByMail.DAILY),
    "never": ("No mail at all", ByMail.NEVER),
    "first": ("As it was at first", None),
}
CLOCKS = ("quiet", "quiet_from", "quiet_to", "daily_at")


@dataclass(frozen=True)
class KindFields:
    """The fields of one kind, those that it has, and what is chosen now in words."""

    kind: Kind
    meaning: Meaning
    fields: tuple[BoundField, ...]

    @property
    def is_open(self) -> bool:
        """Whether something in it is wrong."""
        return any(field.errors for field in self.fields)


@dataclass(frozen=True)
class PartFields:
    """The kinds under one heading."""

    title: str
    kinds: tuple[KindFields, ...]


class ChoicesForm(forms.Form):
    """What a member wants: fields `<code of the kind>-<what>`, and four for all kinds."""

    def __init__(self, chosen: Chosen, data: Any = None) -> None:
        super().__init__(data)
        self._chosen = chosen
        self.fields["quiet"] = forms.BooleanField(
            required=False,
            label="Quiet hours: no mail comes then",
            help_text="It comes after them, or before them when it could not wait.",
        )
        self.fields["quiet_from"] = _clock_field("From")
        self.fields["quiet_to"] = _clock_field("To")
        self.fields["daily_at"] = _clock_field("The one mail a day comes at")
        for name in CLOCKS:
            self.fields[name].initial = getattr(chosen.wishes, name)
        for kind in all_kinds():
            choice = chosen.choice_of(kind)
            for name, field in _fields_of(kind):
                field.initial = getattr(choice, name)
                self.fields[f"{kind.code}-{name}"] = field

    def clocks(self) -> Clocks:
        """What is wanted of all mail, once the form is valid."""
        return Clocks(**{name: self.cleaned_data[name] for name in CLOCKS})

    def choices(self, quick: str = "") -> dict[str, Choice]:
        """What is wanted of each kind, once the form is valid; its mail by a quick way."""
        return {kind.code: self._choice(kind, quick) for kind in all_kinds()}

    def _choice(self, kind: Kind, quick: str) -> Choice:
        typed = {name: self.cleaned_data[f"{kind.code}-{name}"] for name, _ in _fields_of(kind)}
        is_meant = quick != SMALL or (kind.can_wait and typed["by_mail"] != ByMail.NEVER)
        if quick in QUICK and is_meant:
            by_mail = QUICK[quick][1]
            return first_of(kind) if by_mail is None else _with(first_of(kind), typed, by_mail)
        return _with(first_of(kind), typed, typed["by_mail"])

    def parts(self, meanings: Meanings) -> list[PartFields]:
        """The fields by part and kind."""
        return [
            PartFields(title, tuple(self._kind_fields(kind, meanings) for kind in kinds))
            for title, kinds in kinds_by_part().items()
        ]

    def _kind_fields(self, kind: Kind, meanings: Meanings) -> KindFields:
        bound = tuple(self[f"{kind.code}-{name}"] for name, _ in _fields_of(kind))
        return KindFields(kind, meanings.of(kind), bound)


def kinds_that_can_wait() -> list[str]:
    """Their words, in the order of the page."""
    kinds = [kind for part in kinds_by_part().values() for kind in part]
    return [kind.words for kind in kinds if kind.can_wait]


def _with(choice: Choice, typed: dict[str, Any], by_mail: str) -> Choice:
    for name, value in (typed | {"by_mail": by_mail}).items():
        setattr(choice, name, value)
    return choice


def _fields_of(kind: Kind) -> Iterator[tuple[str, forms.Field]]:
    yield "by_mail", _one_of("By mail", ByMail.choices)
    if len(kind.timings) > 1:
        yield "timing", _one_of("When", [(each.code, each.words) for each in kind.timings])
    if kind.in_inbox:
        yield "on_site", forms.BooleanField(required=False, label="On the site, under Notices")
    if kind.in_calendar:
        yield "calendar", _one_of("In your calendar", InCalendar.choices)


def _one_of(label: str, choices: Iterable[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label,
        choices=[(code, words[:1].upper() + words[1:]) for code, words in choices],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one.", "invalid_choice": "Choose one of these."},
    )


def _clock_field(label: str) -> forms.TimeField:
    wrong = "Write a time, like 7:00 or 21:30."
    return forms.TimeField(
        label=label,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": wrong, "required": wrong},
    )
