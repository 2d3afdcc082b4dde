"""What is typed about fitness for use: a fault, that it is mended, a gauge test, care."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.equipment.actions.cares import Round
from coop.equipment.actions.fitness import LONGEST_FAULT, LONGEST_HOW, MAY_BE_LET_GO, Report
from coop.equipment.actions.gauge_tests import Reading
from coop.equipment.models import Care, CareDone, Fault, GaugeTest, Thing
from coop.web.fields import ExactField

LONGEST_TESTER = GaugeTest._meta.get_field("tester").max_length
LONGEST_NOTE = GaugeTest._meta.get_field("note").max_length
LONGEST_CARE = Care._meta.get_field("what").max_length
LONGEST_DONE = CareDone._meta.get_field("note").max_length
#: No canner of a household bears more (15 psi is the most that new ones should see: caution
#: pressure_canner_8); twice that catches a slip of the finger. Tenths of a psi.
MOST_PSI_TENTHS = 300
MOST_USES, MOST_MONTHS = 500, 120

_DAY = {"invalid": "Write a day, like 2026-05-09.", "required": "Say on which day."}
STOPS = [
    (Fault.Stops.BOOKINGS, "Out of order: it cannot be booked until it is mended"),
    (Fault.Stops.HANDOVER, "To see to before it is next handed over"),
]
MENDED, LET_GO = "mended", "let_go"


def day_field(label: str, **options: Any) -> forms.DateField:
    """A day, picked from a calendar or typed."""
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, error_messages=_DAY, **options)


class PsiField(ExactField):
    """A pressure to a tenth of a psi; cleans to whole tenths.

    >>> PsiField(label="It read").clean("11.5 psi")
    115
    """

    digits = 1
    example = "11.5"

    def __init__(self, *, least: int = 0, **options: Any) -> None:
        super().__init__(least=least, most=MOST_PSI_TENTHS, shown_unit="psi", **options)

    def too_fine(self) -> str:
        """Say how fine a dial is read."""
        return f"A dial is read to a tenth of a psi, like {self.example}."


class FaultForm(forms.Form):
    """What is wrong with a thing. Who keeps it chooses what that stops; others, whether
    somebody could be hurt.
    """

    what = forms.ChoiceField(
        label="What is wrong?",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what is wrong."},
    )
    sentence = forms.CharField(
        max_length=LONGEST_FAULT,
        label="In a sentence",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say in a sentence what is wrong."},
    )
    could_hurt = forms.BooleanField(
        required=False,
        label="Someone could be hurt",
        help_text="It is then out of order at once, for everybody.",
    )
    stops = forms.ChoiceField(
        label="What does that stop?",
        choices=STOPS,
        widget=forms.RadioSelect,
        error_messages={"required": "Say what that stops."},
    )

    def __init__(self, *args: Any, thing: Thing, keeps: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        del self.fields["could_hurt" if keeps else "stops"]
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            (what, label.capitalize())
            for what, label in Fault.What.choices
            if thing.gauge or what != Fault.What.GAUGE_OFF
        ]

    def report(self) -> Report:
        """What was found."""
        typed = self.cleaned_data
        return Report(
            typed["what"],
            typed["sentence"],
            could_hurt=typed.get("could_hurt", False),
            stops=typed.get("stops", ""),
        )


class MendForm(forms.Form):
    """How a fault was mended; what is missing or not clean may be let go as it is.

    `way` is said by the button that is pressed.
    """

    way = forms.ChoiceField(
        choices=[(MENDED, "Mended"), (LET_GO, "Let it go as it is")],
        error_messages={"required": "Say whether it is mended, or is let go as it is."},
    )
    how = forms.CharField(
        # Room for the words that stand before the reason of what is let go.
        max_length=LONGEST_HOW - 20,
        label="How was it mended, or why can it be used as it is?",
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"required": "Say how it was mended, or why it can be used as it is."},
    )

    def __init__(self, *args: Any, fault: Fault, **options: Any) -> None:
        super().__init__(*args, **options)
        if fault.what not in MAY_BE_LET_GO:
            del self.fields["way"]
            self.fields["how"].label = "How was it mended?"
        if fault.what == Fault.What.PART_MISSING:
            self.fields["how"].label = "What was done?"
            self.fields["how"].error_messages["required"] = "Say what was done."

    @property
    def lets_go(self) -> bool:
        """Whether it stays as it is."""
        return self.cleaned_data.get("way") == LET_GO


class GaugeTestForm(forms.Form):
    """A dial gauge held against one that is right."""

    tested_on = day_field("Tested on")
    tester = forms.CharField(
        max_length=LONGEST_TESTER,
        label="Who tested it, and where",
        help_text="Like: county extension office, Mrs. Hale.",
        error_messages={"required": "Say who tested it, and where."},
    )
    true_psi = PsiField(
        least=1,
        label="The pressure was",
        help_text="What the tester's own gauge showed.",
        error_messages={"required": "Say at which pressure it was tested."},
    )
    read_psi = PsiField(
        label="This dial showed",
        error_messages={"required": "Say what the dial showed."},
    )
    is_new_gauge = forms.BooleanField(required=False, label="A new gauge was fitted first")
    since_then = forms.BooleanField(
        required=False,
        label="It was tested after that",
        help_text="After it was dropped, bumped or said to be off. A test before that says nothing "
        "of it now.",
    )
    note = forms.CharField(required=False, max_length=LONGEST_NOTE, label="Advice of the tester")

    def reading(self) -> Reading:
        """What the tester found."""
        typed = self.cleaned_data
        return Reading(
            tested_on=typed["tested_on"],
            tester=typed["tester"],
            true_tenths=typed["true_psi"],
            read_tenths=typed["read_psi"],
            is_new_gauge=typed["is_new_gauge"],
            since_then=typed["since_then"],
            note=typed["note"],
        )


class CareForm(forms.Form):
    """What is to be looked after, and how often."""

    what = forms.CharField(
        max_length=LONGEST_CARE,
        label="What",
        help_text="Like: gasket, pump oil, blades.",
        error_messages={"required": "Say what is to be looked after."},
    )
    every_uses = ExactField(
        least=1, most=MOST_USES, shown_unit="use", required=False, label="After how many uses"
    )
    every_months = ExactField(
        least=1, most=MOST_MONTHS, shown_unit="month", required=False, label="After how many months"
    )
    last_on = day_field("Last done on", required=False)

    def round(self) -> Round:
        """What comes round."""
        return Round(**self.cleaned_data)


class DoneForm(forms.Form):
    """That something was looked after, with a note."""

    note = forms.CharField(required=False, max_length=LONGEST_DONE, label="Note")
