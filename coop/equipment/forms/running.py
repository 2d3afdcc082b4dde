"""What is typed of a run: when it is likely to be done, and by when at the latest."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.equipment.models import Booking
from coop.web.fields import LocalDateTimeField


class RunForm(forms.Form):
    """The two ends of a run, by the co-op's clocks; `others_wait` when somebody must wait."""

    def __init__(self, *args: Any, booking: Booking, **options: Any) -> None:
        options.setdefault(
            "initial", {"expected_at": booking.expected_at, "latest_at": booking.ends_at}
        )
        super().__init__(*args, **options)
        zone = booking.coop.time_zone
        self.fields["expected_at"] = LocalDateTimeField(
            zone,
            label="Likely to be done",
            error_messages={"required": "Say when it is likely to be done."},
        )
        self.fields["latest_at"] = LocalDateTimeField(
            zone,
            label="At the latest",
            help_text="Until then nobody else has it; after that it needs its turnaround.",
            error_messages={"required": "Say by when it is done at the latest."},
        )
        self.fields["others_wait"] = forms.BooleanField(
            required=False, label="Yes, they are told, and may say no"
        )
        self.question = ""

    @property
    def needs_yes(self) -> bool:
        """Whether somebody would have to wait, so that the box to tick is shown."""
        return bool(self.question or self["others_wait"].value())

    def ask(self, sentence: str) -> None:
        """Nothing is wrong, but others would have to wait: the form wants a yes."""
        self.question = sentence
