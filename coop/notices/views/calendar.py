"""The page on which a member gets the private address of their calendar."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from coop.notices.actions.feeds import end_feed, renew_feed
from coop.notices.queries.feed import alarm_words, secret_of
from coop.people.middleware import CoopRequest


@never_cache
@require_safe
def calendar(request: CoopRequest) -> HttpResponse:
    """The address, how to use it, and what stands in the calendar."""
    secret = secret_of(request.member)
    address = _address(request, secret) if secret else ""
    context = {
        "address": address,
        "subscribe": _subscribe(address),
        "kinds": alarm_words(request.member),
    }
    return render(request, "notices/calendar.html", context)


def _address(request: CoopRequest, secret: str) -> str:
    return request.build_absolute_uri(reverse("outside:feed", args=[secret]))


def _subscribe(address: str) -> str:
    """The link that opens a calendar program. Where pages come encrypted so does the calendar."""
    scheme, _, rest = address.partition(":")
    return rest and f"{'webcals' if scheme == 'https' else 'webcal'}:{rest}"


@require_http_methods(["GET", "POST"])
def renew(request: CoopRequest) -> HttpResponse:
    """A new address, or the first; where there is one already, a yes is asked."""
    if request.method == "POST":
        had_one = bool(secret_of(request.member))
        renew_feed(by=request.member)
        said = "The calendar has a new address." if had_one else "The calendar has its address."
        messages.success(request, said)
        return redirect("notices:calendar", request.coop.slug)
    text = (
        "The address that you have now stops at once. Programs that have it show nothing new, "
        "until you put the new address into each of them."
    )
    return _confirm(request, "A new address for your calendar?", text, "Make a new address")


@require_http_methods(["GET", "POST"])
def end(request: CoopRequest) -> HttpResponse:
    """No calendar outside the site any more."""
    if request.method == "POST":
        end_feed(by=request.member)
        messages.success(request, "The address of the calendar has ended.")
        return redirect("notices:calendar", request.coop.slug)
    text = (
        "The address stops at once, and programs that have it show nothing new. "
        "You can make another at any time."
    )
    return _confirm(request, "End the address of your calendar?", text, "End it")


def _confirm(request: CoopRequest, question: str, text: str, label: str) -> HttpResponse:
    context = {
        "question": question,
        "text": text,
        "label": label,
        "back_url": reverse("notices:calendar", args=[request.coop.slug]),
    }
    return render(request, "pages/confirm.html", context)
