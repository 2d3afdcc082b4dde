"""Where a household lives: said, changed, taken off again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from coop.jars.actions.homes import forget_home as take_off
from coop.jars.actions.homes import set_home
from coop.jars.forms.homes import HomeForm
from coop.jars.queries.counts import household_to_act_for
from coop.jars.queries.homes import home_of
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.fields import decimal_text
from coop.web.middleware import PERMISSIONS_POLICY
from coop.web.pages import refused
from coop.web.refusals import saved

#: On this page alone a browser may be asked where it is, and then it asks the person.
MAY_ASK_WHERE = PERMISSIONS_POLICY.replace("geolocation=()", "geolocation=(self)")
DECIMALS = 5


@require_http_methods(["GET", "POST"])
def home(request: CoopRequest) -> HttpResponse:
    """Say where one's household lives; a coordinator may for another."""
    household = household_to_act_for(request.member, request.GET.get("household", ""))
    place = home_of(household)
    initial = {}
    if place:
        pairs = (("latitude", place.latitude), ("longitude", place.longitude))
        initial = {
            name: decimal_text(int(degrees.scaleb(DECIMALS)), DECIMALS, trim=True)
            for name, degrees in pairs
        }
    form = HomeForm(request.POST if request.method == "POST" else None, initial=initial)
    is_own = household.pk == request.member.household_id
    context = {"household": household, "is_own": is_own, "home": place, "form": form}
    if request.method == "GET":
        response = render(request, "jars/home.html", context)
    elif saved(form, lambda: set_home(household, form.place(), by=request.member)):
        messages.success(request, "It is kept. The table of spare jars now shows distances.")
        return redirect("jars:spare", request.coop.slug)
    else:
        response = refused(request, "jars/home.html", context)
    response.headers["Permissions-Policy"] = MAY_ASK_WHERE
    return response


@require_POST
def forget_home(request: CoopRequest) -> HttpResponse:
    """Take off where a household lives."""
    household = household_to_act_for(request.member, request.GET.get("household", ""))
    take_off(household, by=request.member)
    messages.success(request, "It is taken off. No distances are shown any more.")
    return redirect(_address(request, household))


def _address(request: CoopRequest, household: Household) -> str:
    address = reverse("jars:home", args=[request.coop.slug])
    is_own = household.pk == request.member.household_id
    return address if is_own else f"{address}?household={household.pk}"
