"""This week, and the settings of a co-op."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.people.actions.coops import change_settings, is_currency_in_use
from coop.people.changes import changes_of
from coop.people.forms.coops import SettingsForm
from coop.people.middleware import CoopRequest
from coop.people.rights import can_change_settings, require
from coop.people.week import week_of
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved

CHANGES_SHOWN = 30


@require_GET
def this_week(request: CoopRequest) -> HttpResponse:
    """What is due for the member's household."""
    week = week_of(request.member, timezone.now())
    # The bar of places need not count again what is to read.
    return render(request, "people/week.html", {"week": week, "unread": week.unread})


@require_http_methods(["GET", "POST"])
def settings(request: CoopRequest) -> HttpResponse:
    """What the co-op has settled: all members may read it, coordinators change it."""
    may_change = can_change_settings(request.member)
    require(may_change or request.method != "POST")
    stays = is_currency_in_use(request.coop)
    form = SettingsForm(request.coop, request.POST or None, currency_stays=stays)
    if request.method == "POST" and saved(
        form, lambda: change_settings(form.settings(), by=request.member)
    ):
        messages.success(request, "The settings are saved.")
        return redirect("people:settings", request.coop.slug)
    context = {
        "form": form,
        "may_change": may_change,
        "changes": changes_of(request.coop, request.coop)[:CHANGES_SHOWN],
    }
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "people/settings.html", context, status=status)
