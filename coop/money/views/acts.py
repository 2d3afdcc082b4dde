"""What the views of the books share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest

from coop.money.errors import AlreadyEntered
from coop.money.forms.once import OnceForm
from coop.web.refusals import saved


def entered(
    request: HttpRequest, form: OnceForm, act: Callable[[], Any], *, said: str | Callable[[], str]
) -> bool:
    """Do the act and say so; a form that is sent twice is done once, and says that.

    `said`: a sentence, or what makes one of what the act did. False when the form now says what is
    wrong.
    """
    try:
        if not saved(form, act):
            return False
    except AlreadyEntered as refusal:
        messages.info(request, refusal.sentence)
        return True
    messages.success(request, said if isinstance(said, str) else said())
    return True
