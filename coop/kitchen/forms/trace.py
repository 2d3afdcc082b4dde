"""A lot code as it was typed."""

from __future__ import annotations

from django import forms

from coop.core.lot_codes import WrongCode, read_code


class CodeForm(forms.Form):
    """The code on a label; cleans to the number of the lot."""

    code = forms.CharField(
        label="Lot code",
        max_length=40,
        help_text="The digits on the label, spaces or none.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Type the lot code from the label, such as 5724."},
    )

    def clean_code(self) -> int:
        """Read the code; a wrong digit gets its sentence."""
        try:
            return read_code(self.cleaned_data["code"])
        except WrongCode as wrong:
            raise forms.ValidationError(wrong.sentence) from wrong
