"""Fresh proof of identity, before membership changes hands."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from allauth.account import app_settings
from allauth.account.internal.flows.login import get_authentication_records
from django.http import HttpRequest, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse

View = Callable[..., HttpResponseBase]


def fresh_proof(view: View) -> View:
    """Ask for the password first, unless it was given within the last few minutes.

    Who has no password signs in by a code each time and is not asked again. Once proven, the page
    is opened anew: these views ask before they act, so nothing typed is lost.
    """

    @wraps(view)
    def proven(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if is_proven(request):
            return view(request, *args, **kwargs)
        query = urlencode({"next": request.get_full_path()})
        return HttpResponseRedirect(f"{reverse('account_reauthenticate')}?{query}")

    return proven


def is_proven(request: HttpRequest) -> bool:
    """Whether whoever is signed in has proven it lately, or has no password to prove it by."""
    if not request.user.is_authenticated:
        return False
    if not request.user.has_usable_password():
        return True
    proofs = get_authentication_records(request, request.user)
    latest = max((proof["at"] for proof in proofs), default=0)
    return bool(time.time() - latest < app_settings.REAUTHENTICATION_TIMEOUT)
