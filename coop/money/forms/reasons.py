"""A reason, for everybody to read."""

from __future__ import annotations

from django import forms


class ReasonForm(forms.Form):
    """Why an entry is reversed."""

    why = forms.CharField(
        max_length=400,
        label="Why",
        help_text="It stands beside the reversal for everybody to read.",
        error_messages={"required": "Say why, for everybody to read."},
    )
