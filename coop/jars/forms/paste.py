"""A pasted list of jars, and what it makes of the numbers that are kept."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from coop.jars.actions.counts import Counted
from coop.jars.kinds import KINDS
from coop.jars.pasted import MOST_LINES, Pasted, Read, Wrong, read_list
from coop.jars.queries.stock import Held, HeldLids

LONGEST_LIST = 10_000


class PasteForm(forms.Form):
    """The list. `shown` is the list as it was when its reading was last shown."""

    text = forms.CharField(
        label="Your list",
        max_length=LONGEST_LIST,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
        help_text="A line for each kind, or columns copied from a spreadsheet.",
        error_messages={"required": "Paste or type at least one line."},
    )
    shown = forms.CharField(required=False, strip=False, widget=forms.HiddenInput)
    seen = forms.IntegerField(min_value=0, required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, kept: Counted, known: Collection[str] = (), **options: Any
    ) -> None:
        """Take the numbers that are kept now, and the kinds that the household has had."""
        super().__init__(*args, **options)
        self.kept, self.known = kept, known
        self.pasted = Pasted((), ())

    def clean_text(self) -> str:
        """Read the list: every line, or none."""
        text = str(self.cleaned_data["text"])
        if len(text.splitlines()) > MOST_LINES:
            raise ValidationError(f"That is more than {MOST_LINES} lines.")
        self.pasted = read_list(text, self.known)
        if not self.pasted.lines and not self.pasted.wrong:
            raise ValidationError("Paste or type at least one line.")
        if wrong := [f"Line {bad.number}: {bad.reason}" for bad in self._wrong()]:
            raise ValidationError(wrong)
        return text

    def _wrong(self) -> list[Wrong]:
        return [*self.pasted.wrong, *_spare_over_empty(self.pasted, self.kept)]

    def was_shown(self) -> bool:
        """Whether this very list was shown as it is read."""
        typed = self.cleaned_data
        return bool(typed["text"].split() == typed["shown"].split())

    def show(self) -> None:
        """Remember what is shown, and the reading that goes with it."""
        self.data = {**_plain(self.data), "shown": self.cleaned_data["text"]}

    def see(self, newest_id: int) -> None:
        """Have the form, when it is sent again, stand on the newest count."""
        self.data = {**_plain(self.data), "seen": str(newest_id)}

    def counted(self) -> Counted:
        """What is kept now, with the numbers of the list in it."""
        return merged(self.kept, self.pasted)


def merged(kept: Counted, pasted: Pasted) -> Counted:
    """Numbers that are kept, with those of a list put over them.

    Where a list says how many are spare, and not how many are empty, there are at least as many
    empty; where it says how many are empty, and not how many are spare, no more are spare.
    """
    kinds, lids = dict(kept.kinds), dict(kept.lids)
    for key, numbers in _by_key(pasted).items():
        if key in KINDS:
            kinds[key] = _fitting(replace(kinds.get(key, Held()), **numbers), numbers)
        else:
            lids[key] = replace(lids.get(key, HeldLids()), **numbers)
    return Counted(kinds, lids)


def _by_key(pasted: Pasted) -> dict[str, dict[str, int]]:
    numbers: dict[str, dict[str, int]] = {}
    for line in pasted.lines:
        numbers.setdefault(line.key, {}).update(line.numbers)
    return numbers


def _fitting(held: Held, said: Mapping[str, int]) -> Held:
    if held.spare <= held.empty or ("spare" in said and "empty" in said):
        return held
    return replace(held, empty=held.spare) if "spare" in said else replace(held, spare=held.empty)


def _spare_over_empty(pasted: Pasted, kept: Counted) -> list[Wrong]:
    """The last line of each kind that has more spare jars than empty ones."""
    last: dict[str, Read] = {line.key: line for line in pasted.lines}
    return [
        Wrong(last[kind].number, "", f"{held.spare:,} spare are more than {held.empty:,} empty.")
        for kind, held in merged(kept, pasted).kinds.items()
        if held.spare > held.empty
    ]


def _plain(data: Mapping[str, Any]) -> dict[str, Any]:
    """One value a name: unpacked, a QueryDict would give lists."""
    return {name: data[name] for name in data}
