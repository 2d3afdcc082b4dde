"""What a person sees when an act is refused: at the field, or on a page with its sentence."""

from collections.abc import Callable
from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from coop.people.errors import NotAllowed, Refused, TooLate, TooMany
from coop.web.pages import say, wants_part

CONFLICT, FORBIDDEN, TOO_MANY = 409, 403, 429


def saved(form: BaseForm, act: Callable[[], Any]) -> bool:
    """Do the act if the form is valid; False when the form now says what is wrong.

    A refusal stands at the field that it names, or above the form. NotAllowed and TooLate pass
    through: no other words in the form would help, so they get a page of their own.
    """
    if not form.is_valid():
        return False
    try:
        act()
    except (NotAllowed, TooLate):
        raise
    except Refused as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        return False
    return True


class RefusalMiddleware:
    """Turns a refusal that no view has answered into a page with its sentence."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """403 for NotAllowed, 429 for TooMany, 409 for the others; any other error goes on."""
        if not isinstance(exception, Refused):
            return None
        response = _page(request, exception)
        # htmx swaps in no refused page; the status region says the sentence instead.
        return say(response, exception.sentence) if wants_part(request) else response


def _page(request: HttpRequest, refusal: Refused) -> HttpResponse:
    if isinstance(refusal, NotAllowed):
        return render(request, "403.html", {"exception": refusal.sentence}, status=FORBIDDEN)
    status = TOO_MANY if isinstance(refusal, TooMany) else CONFLICT
    context = {"refusal": refusal, "back_url": _came_from(request)}
    return render(request, "errors/refused.html", context, status=status)


def _came_from(request: HttpRequest) -> str:
    """The page of ours that the act was asked from; empty when it is not known."""
    referer = request.headers.get("Referer", "")
    is_ours = url_has_allowed_host_and_scheme(referer, allowed_hosts={request.get_host()})
    return referer if is_ours else ""
