"""The page of counting: three numbers a kind, two a mouth."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from coop.jars.actions.counts import Counted
from coop.jars.kinds import KINDS, Mouth
from coop.jars.pasted import MOST_JARS
from coop.jars.queries.stock import Held, HeldLids
from coop.web.fields import ExactField

JAR_STATES = {"full": "Full", "empty": "Empty", "spare": "Spare"}
LID_STATES = {"lids": "New lids", "bands": "Bands"}


class JarsField(ExactField):
    """So many jars, lids or bands; nothing typed is none."""

    def __init__(self, *, short: str = "", **options: Any) -> None:
        """Take a label that tells it from every other field, and a `short` one for its group."""
        self.short = short
        super().__init__(most=MOST_JARS, shown_unit="jar", required=False, **options)

    def prepare_value(self, value: Any) -> Any:
        """Show none as an empty field, so that nothing has to be wiped out before typing."""
        return super().prepare_value(value) if value else ""

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Show what an empty field means."""
        return super().widget_attrs(widget) | {"placeholder": "0"}

    def clean(self, value: Any) -> int:
        """Read the number. Raises ValidationError with a sentence."""
        return super().clean(value) or 0

    def said(self, figures: str) -> str:
        """Figures with their thousands set off."""
        return f"{int(figures):,}"


@dataclass(frozen=True)
class Group:
    """The fields of one kind or one mouth, under its name."""

    key: str
    title: str
    fields: tuple[BoundField, ...]

    @property
    def is_wrong(self) -> bool:
        """Whether something in it is wrong."""
        return any(field.errors for field in self.fields)


class CountForm(forms.Form):
    """Every kind and every mouth. `seen` is the newest count when the page was opened."""

    seen = forms.IntegerField(min_value=0, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, first: Iterable[str] = KINDS, **options: Any) -> None:
        """Take the kinds that come `first`; the others are folded away."""
        super().__init__(*args, **options)
        self.first = frozenset(first)
        for key, states in _fields():
            for state, label in states.items():
                said = f"{_titled(KINDS.get(key) or Mouth(key).label)}, {label.lower()}"
                self.fields[f"{key}-{state}"] = JarsField(label=said, short=label)

    def groups(self) -> list[Group]:
        """The kinds that come first."""
        return [self._group(kind) for kind in KINDS if kind in self.first]

    def others(self) -> list[Group]:
        """The other kinds."""
        return [self._group(kind) for kind in KINDS if kind not in self.first]

    def is_other_open(self) -> bool:
        """Whether something was typed among the other kinds."""
        return any(field.value() for group in self.others() for field in group.fields)

    def mouths(self) -> list[Group]:
        """Lids and bands."""
        return [
            Group(mouth, _titled(mouth.label), self._bound(mouth.value, LID_STATES))
            for mouth in Mouth
        ]

    def clean(self) -> dict[str, Any]:
        """Spare jars are among the empty ones."""
        typed = super().clean() or self.cleaned_data
        for kind in KINDS:
            empty, spare = typed.get(f"{kind}-empty"), typed.get(f"{kind}-spare")
            if empty is not None and spare is not None and spare > empty:
                self.add_error(
                    f"{kind}-spare",
                    f"{spare:,} of {empty:,} empty cannot be spare. Count the spare jars with the "
                    "empty ones too.",
                )
        return typed

    def counted(self) -> Counted:
        """What was typed."""
        typed = self.cleaned_data
        return Counted(
            {kind: Held(*(typed[f"{kind}-{state}"] for state in JAR_STATES)) for kind in KINDS},
            {
                mouth.value: HeldLids(*(typed[f"{mouth.value}-{state}"] for state in LID_STATES))
                for mouth in Mouth
            },
        )

    def see(self, newest_id: int) -> None:
        """Have the form, when it is sent again, stand on the newest count."""
        self.data = {**_plain(self.data), "seen": str(newest_id)}

    def _group(self, kind: str) -> Group:
        return Group(kind, _titled(KINDS[kind]), self._bound(kind, JAR_STATES))

    def _bound(self, key: str, states: Mapping[str, str]) -> tuple[BoundField, ...]:
        return tuple(self[f"{key}-{state}"] for state in states)


def as_initial(
    kinds: Mapping[str, Held], lids: Mapping[str, HeldLids], *, seen: int
) -> dict[str, int]:
    """The numbers that a form starts from."""
    initial = {"seen": seen}
    for kind, held in kinds.items():
        initial |= {f"{kind}-{state}": getattr(held, state) for state in JAR_STATES}
    for mouth, of_mouth in lids.items():
        initial |= {f"{mouth}-{state}": getattr(of_mouth, state) for state in LID_STATES}
    return initial


def _fields() -> list[tuple[str, dict[str, str]]]:
    of_kinds = [(kind, JAR_STATES) for kind in KINDS]
    return [*of_kinds, *((mouth.value, LID_STATES) for mouth in Mouth)]


def _titled(words: str) -> str:
    return words[:1].upper() + words[1:]


def _plain(data: Mapping[str, Any]) -> dict[str, Any]:
    """One value a name: unpacked, a QueryDict would give lists."""
    return {name: data[name] for name in data}
