"""A form that counts once, however often it is sent."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from django import forms


class OnceForm(forms.Form):
    """It carries a number of its own; an entry with that number is written once."""

    once = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput)

    @property
    def number(self) -> UUID | None:
        """The number of this form, as it was sent."""
        number: UUID | None = self.cleaned_data["once"]
        return number

    def add(self, **fields: Any) -> None:
        """Put fields in that depend on the co-op, before the number."""
        self.fields = {**self.fields, **fields}
