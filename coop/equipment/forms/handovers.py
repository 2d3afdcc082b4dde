"""What is typed when a thing goes out, and when it comes back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.forms import BoundField

from coop.core.figures import join_words
from coop.equipment.actions.handovers import GOES_OUT, Found, FoundBack
from coop.equipment.kinds import KINDS, Gauge, ThingKind
from coop.equipment.models import Booking, Handover, Thing
from coop.equipment.pictures import ACCEPT
from coop.equipment.words import part_said
from coop.money.forms.once import OnceForm
from coop.people.models import Coop, Household
from coop.web.fields import ExactField, LocalDateTimeField, MoneyField

Condition = Handover.Condition
MOST_PARTS, MOST_USES = 999, 999
#: Tenths: a dial goes to a few dozen psi, a meter of hours to tens of thousands, a scale below 0.
MOST_READING, LEAST_READING = 999_999, -9_999
LONGEST_NOTE = Handover._meta.get_field("note").max_length
LONGEST_WHY = 190  # a movement's note has 200, and says before it what it is
LONGEST_PURPOSE = Booking._meta.get_field("purpose").max_length


class PartField(ExactField):
    """How many of a part were counted; nothing where "all there" says it of all of them."""

    def __init__(self, *, name: str, expected: int, **options: Any) -> None:
        super().__init__(
            most=MOST_PARTS,
            shown_unit="piece",
            label=_titled(name),
            required=False,
            **options,
        )
        self.name, self.expected = name, expected


class ReadingField(ExactField):
    """What is read off a thing, to a tenth."""

    digits = 1
    example = "0.5"

    def too_fine(self) -> str:
        """Say how fine it goes."""
        return "To a tenth is enough, like 0.5."

    def said(self, figures: str) -> str:
        """The figures alone: the label says of what."""
        return figures


class HandoverForm(OnceForm):
    """Condition, parts counted, a note and a photo. `parts`: how many there should be, by name.

    Neither condition nor counts are proposed: a proposal is pressed through without a look.
    """

    conditions: tuple[Condition, ...] = tuple(Condition)

    note = forms.CharField(
        required=False,
        max_length=LONGEST_NOTE,
        label="Note",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    photo = forms.FileField(
        required=False,
        label="Photo",
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
        help_text="Kept small, and without the place where it was taken.",
    )

    def __init__(self, *args: Any, parts: Mapping[str, int], **options: Any) -> None:
        super().__init__(*args, **options)
        self.parts = {f"part-{place}": name for place, name in enumerate(parts)}
        for key, name in self.parts.items():
            self.fields[key] = PartField(name=name, expected=parts[name])
        if parts:
            # What was not there when it went out is not asked for.
            counts = [part_said(count, name) for name, count in parts.items() if count]
            self.fields["all_there"] = forms.BooleanField(
                required=False,
                label=f"I counted, all there: {join_words(counts)}" if counts else "None of them",
            )
        self.fields["condition"] = forms.ChoiceField(
            label="How is it?",
            choices=[(each.value, _titled(each.label)) for each in self.conditions],
            widget=forms.RadioSelect,
            error_messages={"required": "Say how it is."},
        )

    def part_fields(self) -> list[BoundField]:
        """The steppers, one a part."""
        return [self[key] for key in self.parts]

    def clean(self) -> dict[str, Any]:
        """Every part is counted, one by one or by saying that all are there; not both ways."""
        data = super().clean() or self.cleaned_data
        all_there = data.get("all_there", False)
        for key, name in self.parts.items():
            field, count = self.fields[key], data.get(key)
            if key not in data or not isinstance(field, PartField):
                continue
            if count is None and all_there:
                data[key] = field.expected
            elif count is None:
                self.add_error(key, f"Count them: {name}. None is 0.")
            elif all_there and count != field.expected:
                self.add_error(key, "This is not all: take the tick from “all there”.")
        return data

    def typed(self) -> dict[str, Any]:
        """What both ways have in common, for `Found` and `FoundBack`."""
        data = self.cleaned_data
        return {
            "condition": data["condition"],
            "counted": {name: data[key] for key, name in self.parts.items()},
            "note": data["note"],
            "photo": data["photo"],
        }


class HandOutForm(HandoverForm):
    """A thing goes out. How it is must be said, as on its return; a damaged one stays."""

    conditions = GOES_OUT

    def found(self) -> Found:
        """What was typed."""
        return Found(**self.typed())


class HandBackForm(HandoverForm):
    """A thing comes back. Whether it was dropped or bumped must be said; nothing is proposed."""

    bumped = forms.TypedChoiceField(
        label="Was it dropped or bumped?",
        choices=[("no", "No"), ("yes", "Yes, dropped or bumped")],
        coerce=lambda answer: answer == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it was dropped or bumped."},
    )
    uses = ExactField(
        most=MOST_USES,
        shown_unit="use",
        label="Loads or batches run",
        help_text="Care that is due after so many uses is counted from this.",
        initial=1,
        error_messages={"required": "Say how many; none is 0."},
    )

    def __init__(self, *args: Any, thing: Thing, **options: Any) -> None:
        super().__init__(*args, **options)
        self.thing = thing
        if label := reading_of(thing):
            self.fields["reading"] = ReadingField(
                least=0 if thing.gauge else LEAST_READING,
                most=MOST_READING,
                shown_unit="",
                required=False,
                label=label,
                help_text=DIAL_HELP if thing.gauge == Gauge.DIAL else "",
            )

    @property
    def reading(self) -> BoundField | None:
        """The field of the reading, where its kind has one."""
        return self["reading"] if "reading" in self.fields else None

    @property
    def reading_is_optional(self) -> bool:
        """Whether it may be left out: a dial must be read."""
        return self.thing.gauge != Gauge.DIAL

    def clean(self) -> dict[str, Any]:
        """A dial is read, unless it is to be tested in any case."""
        data = super().clean() or self.cleaned_data
        is_stopped = data.get("bumped") or data.get("condition") == Condition.DAMAGED
        unread = "reading" in data and data["reading"] is None
        if self.thing.gauge == Gauge.DIAL and unread and not is_stopped:
            self.add_error("reading", "Read the dial with the canner cold and open: 0 is right.")
        return data

    def found(self) -> FoundBack:
        """What was typed."""
        data = self.cleaned_data
        return FoundBack(
            **self.typed(),
            bumped=data["bumped"],
            reading_tenths=data.get("reading"),
            uses=data["uses"],
        )


DIAL_HELP = (
    "It should show 0. One that does not is out of order until it is tested (common practice, no "
    "source)."
)


def reading_of(thing: Thing) -> str:
    """What is read off a thing on return; nothing for a canner without a dial."""
    if thing.kind == ThingKind.PRESSURE_CANNER and thing.gauge != Gauge.DIAL:
        return ""
    return KINDS[thing.kind].reading if thing.kind in KINDS else ""


class TakeNowForm(HandOutForm):
    """A thing that stands there free: until when, for whom, and how it is."""

    def __init__(
        self, *args: Any, coop: Coop, ends_at: datetime, households: list[Household], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.add(
            ends_at=LocalDateTimeField(
                coop.time_zone,
                label="Until",
                initial=ends_at,
                error_messages={"required": "Say until when you want it."},
            ),
            purpose=forms.CharField(required=False, max_length=LONGEST_PURPOSE, label="What for"),
        )
        if len(households) > 1:
            self.add(
                household=forms.TypedChoiceField(
                    choices=[(each.pk, each.name) for each in households],
                    coerce=int,
                    initial=households[0].pk,
                    label="For",
                )
            )
        self.households = {each.pk: each for each in households}

    def household(self) -> Household:
        """For whom: as chosen, else the only one."""
        return self.households[self.cleaned_data.get("household") or next(iter(self.households))]


class DepositForm(OnceForm):
    """How much of a deposit is kept, and why; most often nothing."""

    why = forms.CharField(
        required=False,
        max_length=LONGEST_WHY,
        label="Why some is kept",
        help_text="The household reads it on its statement.",
    )

    def __init__(self, *args: Any, coop: Coop, **options: Any) -> None:
        super().__init__(*args, **options)
        self.add(
            kept_cents=MoneyField(
                coop.currency, required=False, label="Keep", help_text="Empty gives it back whole."
            )
        )


def _titled(words: str) -> str:
    return words[:1].upper() + words[1:]
