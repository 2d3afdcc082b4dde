"""What the views of buying share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django import forms

from coop.buying.errors import NotAllowed, Refused, TooLate


@contextmanager
def refusal_in(form: forms.Form) -> Iterator[None]:
    """Put a refusal beside its field. What is not allowed or too late has a page of its own."""
    try:
        yield
    except (NotAllowed, TooLate):
        raise
    except Refused as refusal:
        field = refusal.field if refusal.field in form.fields else None
        form.add_error(field, refusal.sentence)
