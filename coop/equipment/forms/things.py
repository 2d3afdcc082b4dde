"""The form of a thing: only the fields that matter for its kind."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q
from django.forms import BoundField

from coop.core.tables import rule
from coop.equipment.actions.things import TRAY, ThingTerms, parts_proposed
from coop.equipment.forms.lengths import DAY, HOUR, LengthField
from coop.equipment.kinds import KINDS, CareProposal, Gauge, Stove, ThingKind
from coop.equipment.models import Thing
from coop.equipment.queries.jars_held import TOO_SMALL, classes_of
from coop.equipment.rights import is_steward
from coop.people.models import Household, Member
from coop.web.fields import ExactField, MoneyField

MOST_CENTS = 1_000_000_00
#: Above what any household's thing draws, weighs or burns: a slip of the finger is caught here.
MOST_WATTS, MOST_AMPS_TENTHS, MOST_POUNDS_TENTHS, MOST_BTU = 20_000, 1_000, 20_000, 400_000
MOST_TRAYS, MOST_OF_A_PART = 60, 500
TURNAROUNDS = (
    0,
    15,
    30,
    HOUR,
    90,
    2 * HOUR,
    3 * HOUR,
    4 * HOUR,
    6 * HOUR,
    8 * HOUR,
    12 * HOUR,
    DAY,
)
#: Lenders keep to 3, 7 or 14 days (trade notes, section 4).
LOANS = (3 * HOUR, 6 * HOUR, 12 * HOUR, *(days * DAY for days in (1, 2, 3, 4, 5, 7, 10, 14, 28)))
NOTE_LENGTH = 2000
UNKNOWN = ("", "nobody knows yet")
SMALLEST = rule("pressure", "minimum_size_quart_jars")


class TenthsField(ExactField):
    """A decimal number with one decimal; cleans to whole tenths."""

    digits = 1
    example = "12.5"

    @property
    def unit_shown(self) -> str:
        """What stands after the number."""
        return self.unit

    def too_fine(self) -> str:
        """Say how fine it goes."""
        return f"One decimal at most, like {self.example}."

    def said(self, figures: str) -> str:
        """Figures with their unit, which has no plural."""
        return f"{figures} {self.unit}"


class UnitField(TenthsField):
    """A whole number of a unit that has no plural: watts as W."""

    digits = 0
    example = "1200"

    def too_fine(self) -> str:
        """Say that it is whole."""
        return f"Whole numbers only, like {self.example}."


class ThingForm(forms.Form):
    """What is known of a thing of a kind. `thing` is the one that is changed, if any."""

    def __init__(
        self, *args: Any, kind: str, member: Member, thing: Thing | None = None, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.kind, self.member, self.thing = ThingKind(kind), member, thing
        self.facts = KINDS[kind]
        self.fields["name"] = forms.CharField(
            max_length=80,
            label="Name",
            help_text="What people call it, like Big canner or Canner 2.",
            error_messages={"required": "Give it a name."},
        )
        if is_steward(member):
            self.fields["owner"] = _owner_field(member, thing)
        self.fields["home"] = forms.CharField(
            max_length=160, required=False, label="Where it lives when nobody has it"
        )
        for name in self.facts.fields:
            self.fields[name] = _field_of_kind(name, self.kind)
        self.fields |= _lending_fields(member.coop.currency, thing)
        self.fields |= {
            "use_note": _note_field("How to use it", "What the maker's book says, and its quirks."),
            "cleaning_note": _note_field("How to clean it", "Before it goes back."),
        }

    @staticmethod
    def initial_of(thing: Thing) -> dict[str, Any]:
        """What the form shows of a thing; no deposit and no fee are empty fields."""
        names = ThingTerms.__dataclass_fields__
        known = {name: getattr(thing, name) for name in names} | {"owner": thing.owner}
        return known | {name: known[name] or None for name in ("deposit_cents", "fee_cents")}

    @property
    def owner_is_asked(self) -> bool:
        """Whether it may be another's than the member's own household's."""
        return "owner" in self.fields

    def first_of_kind(self) -> list[BoundField]:
        """What one asks first of some kinds: gauge, size, trays, a burner's heat."""
        return [self[name] for name in self.facts.fields if name in self._asked_first()]

    def more_of_kind(self) -> list[BoundField]:
        """What else some kinds have, which is folded: weight, power, stoves."""
        return [self[name] for name in self.facts.fields if name not in self._asked_first()]

    def is_more_open(self) -> bool:
        """Whether something of that was said, or is wrong."""
        return any(field.value() or field.errors for field in self.more_of_kind())

    def is_lending_open(self) -> bool:
        """Whether something of how it is lent was said, or is wrong."""
        names = ("longest_minutes", "deposit_cents", "fee_cents")
        return any(self[name].value() or self[name].errors for name in names)

    def is_notes_open(self) -> bool:
        """Whether there are notes."""
        return any(
            self[name].value() or self[name].errors for name in ("use_note", "cleaning_note")
        )

    def _asked_first(self) -> tuple[str, ...]:
        first = ("gauge", "canner_class", "trays")
        return (*first, "btu") if self.kind == ThingKind.BURNER else first

    @property
    def owner(self) -> Household | None:
        """Whose it is, once the form is valid; None for the co-op's."""
        if "owner" in self.fields:
            chosen: Household | None = self.cleaned_data["owner"]
            return chosen
        return self.thing.owner if self.thing else self.member.household

    def terms(self) -> ThingTerms:
        """What was typed, once it is valid."""
        typed = {
            name: value
            for name, value in self.cleaned_data.items()
            if name in ThingTerms.__dataclass_fields__ and value is not None
        }
        return ThingTerms(**typed | {"not_on": tuple(typed.get("not_on", ()))})


class NewThingForm(ThingForm):
    """A thing to add, with the parts and the care that its kind proposes, to be taken or left."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.names = [name for name in parts_proposed(self.kind) if name != TRAY]
        for place, name in enumerate(self.names):
            self.fields[f"part_{place}"] = ExactField(
                most=MOST_OF_A_PART,
                shown_unit="piece",
                required=False,
                label=name.capitalize(),
                initial=parts_proposed(self.kind)[name],
            )
        self.fields["turnaround_minutes"].initial = self.facts.turnaround_minutes
        if self.facts.care:
            self.fields["cares"] = forms.TypedMultipleChoiceField(
                choices=[(str(place), _said(care)) for place, care in enumerate(self.facts.care)],
                coerce=int,
                initial=[str(place) for place in range(len(self.facts.care))],
                required=False,
                label="Look after",
                widget=forms.CheckboxSelectMultiple,
                help_text="The page of the thing says when it is due.",
            )

    @property
    def care_field(self) -> BoundField | None:
        """The care that its kind proposes, where there is some."""
        return self["cares"] if self.facts.care else None

    def is_parts_open(self) -> bool:
        """Whether something of the parts or the care is wrong."""
        fields = [*self.part_fields(), *([self.care_field] if self.care_field else [])]
        return any(field.errors for field in fields)

    def part_fields(self) -> list[BoundField]:
        """How many of each proposed part."""
        return [self[f"part_{place}"] for place in range(len(self.names))]

    def parts(self) -> dict[str, int]:
        """Parts that go with it, once the form is valid: the trays, and what was left above 0."""
        typed = {
            name: self.cleaned_data[f"part_{place}"] or 0 for place, name in enumerate(self.names)
        }
        trays = parts_proposed(self.kind, self.cleaned_data.get("trays")).get(TRAY, 0)
        return {name: count for name, count in ({TRAY: trays} | typed).items() if count}

    def cares(self) -> list[CareProposal]:
        """The care that was left ticked, once the form is valid."""
        return [self.facts.care[place] for place in self.cleaned_data.get("cares", [])]


def _owner_field(member: Member, thing: Thing | None) -> forms.Field:
    kept = Q(pk=thing.owner_id) if thing and thing.owner_id else Q()
    households = Household.objects.filter(Q(left_at=None) | kept, coop=member.coop)
    return forms.ModelChoiceField(
        households,
        required=False,
        label="Whose it is",
        empty_label="The co-op's",
        initial=None if thing else member.household,
    )


def _field_of_kind(name: str, kind: ThingKind) -> forms.Field:
    """The field of one column that only some kinds have."""
    if name == "gauge":
        return forms.ChoiceField(
            choices=Gauge.choices,
            label="Gauge",
            help_text="A dial has a needle and numbers; a weight rocks or jiggles on the vent.",
            error_messages={"required": "Say which gauge it has: a dial must be tested each year."},
            widget=forms.RadioSelect,
        )
    if name == "canner_class":
        return _canner_field(kind)
    if name == "not_on":
        return forms.MultipleChoiceField(
            choices=Stove.choices,
            required=False,
            label="It must not stand on",
            widget=forms.CheckboxSelectMultiple,
            help_text="By the maker's book.",
        )
    is_burner = kind == ThingKind.BURNER
    whole: dict[str, tuple[str, str, int]] = {
        "trays": ("Trays", "tray", MOST_TRAYS),
        "watts": ("Watts at its peak", "W", MOST_WATTS),
        "btu": ("Heat" if is_burner else "The most heat it may stand over", "BTU", MOST_BTU),
    }
    if name in whole:
        label, unit, most = whole[name]
        field = ExactField if name == "trays" else UnitField
        return field(label=label, least=1, most=most, shown_unit=unit, required=False)
    label, unit, most = {
        "amps_tenths": ("Amps at its peak", "A", MOST_AMPS_TENTHS),
        "weight_tenths": ("Weight empty", "lb", MOST_POUNDS_TENTHS),
    }[name]
    return TenthsField(label=label, least=1, most=most, shown_unit=unit, required=False)


def _canner_field(kind: ThingKind) -> forms.Field:
    offered = [(each.key, each.said_with_note) for each in classes_of(kind)]
    if kind == ThingKind.PRESSURE_CANNER:
        offered.append((TOO_SMALL, f"smaller: fewer than {SMALLEST} quarts"))
    return forms.ChoiceField(
        choices=[UNKNOWN, *offered],
        required=False,
        label="A load holds",
        help_text="By the published table; the thing's page names its source."
        if kind != ThingKind.PRESSURE_CANNER
        else f"By the published table. What holds fewer than {SMALLEST} quart jars is no canner.",
    )


def _lending_fields(currency: str, thing: Thing | None) -> dict[str, forms.Field]:
    return {
        "turnaround_minutes": LengthField(
            TURNAROUNDS,
            kept=thing.turnaround_minutes if thing else None,
            label="Turnaround after each booking",
            help_text="To cool, defrost, clean and dry. Nobody can book it then.",
        ),
        "longest_minutes": LengthField(
            LOANS,
            kept=thing.longest_minutes if thing else None,
            none="as long as somebody wants",
            label="Longest booking",
        ),
        "deposit_cents": MoneyField(
            currency,
            most=MOST_CENTS,
            required=False,
            label="Deposit",
            help_text="Held from when it goes out until it is back whole.",
        ),
        "fee_cents": MoneyField(currency, most=MOST_CENTS, required=False, label="Fee"),
        "fee_per": forms.ChoiceField(
            choices=[(each.value, each.label) for each in Thing.FeePer],
            initial=Thing.FeePer.USE,
            label="The fee is for",
            widget=forms.RadioSelect,
        ),
    }


def _note_field(label: str, help_text: str) -> forms.CharField:
    return forms.CharField(
        max_length=NOTE_LENGTH,
        required=False,
        label=label,
        help_text=help_text,
        widget=forms.Textarea({"rows": 4}),
    )


def _said(care: CareProposal) -> str:
    times = [
        "every use"
        if care.every_uses == 1
        else f"every {care.every_uses} uses"
        if care.every_uses
        else "",
        f"every {care.every_months} months" if care.every_months else "",
    ]
    return f"{care.what}, {' or '.join(filter(None, times))}"
