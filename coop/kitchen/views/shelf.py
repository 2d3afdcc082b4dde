"""Pages of the pantry: what is on the shelf, what is taken from it, and a slip undone."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.kitchen import rights
from coop.kitchen.actions import shelf as acts
from coop.kitchen.forms.shelf import PantryForm, TakeForm
from coop.kitchen.models import Lot, Taken
from coop.kitchen.queries.lots import jars_said, lot_for, spoken_code
from coop.kitchen.queries.shelf import given_to, lately_taken, pantry_of, rows_of, taken_for
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.people.queries import household_for
from coop.web.pages import refused, say, wants_part
from coop.web.refusals import saved

#: Products on one page of the pantry.
PRODUCTS = 12
LONGEST_NUMBER = 9


@require_GET
def pantry(request: CoopRequest) -> HttpResponse:
    """What stands on the shelf of one's household, or of another."""
    household = _household(request)
    today = today_in(request.coop, timezone.now())
    found = pantry_of(household, today)
    context = {
        **_taken_lately(request, household),
        "pantry": found,
        "page": Paginator(found.groups, PRODUCTS).get_page(request.GET.get("page")),
        "query": urlencode({"household": household.pk}) + "&",
        "given": given_to(household, today),
        "form": PantryForm(household=household),
    }
    return render(request, "kitchen/pantry/pantry.html", context)


def _household(request: CoopRequest) -> Household:
    """The one that the address names, else one's own. What is no number is not there."""
    named = request.GET.get("household", "")
    if not named:
        return household_for(request.member, request.member.household_id)
    if not (named.isascii() and named.isdigit() and len(named) <= LONGEST_NUMBER):
        raise Http404
    return household_for(request.member, int(named))


def _taken_lately(request: CoopRequest, household: Household) -> dict[str, Any]:
    """What the page and the part of it that changes both show."""
    return {
        "household": household,
        "lately": lately_taken(household),
        "can_act": rights.can_act_for(request.member, household),
    }


@require_http_methods(["GET", "POST"])
def take(request: CoopRequest, lot_id: int) -> HttpResponse:
    """Take jars of a lot: one with a tap, several, given away, thrown out."""
    lot = lot_for(request.member, lot_id)
    rights.require_act_for(request.member, lot.household)
    row = rows_of(request.coop, [lot], today_in(request.coop, timezone.now()))[0]
    form = TakeForm(request.POST or None, lot=lot, is_good=not row.dangers)
    context = {"lot": lot, "row": row, "form": form}
    if request.method == "GET":
        return render(request, "kitchen/pantry/take.html", context)
    taken: list[Taken] = []

    def act() -> None:
        typed = form.cleaned_data
        to = typed.get("given_to")
        taken.append(acts.take(lot, typed["what"], typed["count"], given_to=to, by=request.member))

    if saved(form, act):
        return _back(request, lot, _said(taken[0]), taken[0])
    return refused(request, "kitchen/pantry/take.html", context)


def _said(taken: Taken) -> str:
    what = f"given to {taken.given_to}" if taken.given_to else taken.get_what_display()
    return f"{jars_said(taken.lot, taken.count)} of lot {spoken_code(taken.lot)}: {what}."


@require_POST
def untake(request: CoopRequest, taken_id: int) -> HttpResponse:
    """It was a slip of the finger."""
    taken = taken_for(request.member, taken_id)
    acts.untake(taken, by=request.member)
    said = f"{jars_said(taken.lot, taken.count)} back on the shelf."
    return _back(request, taken.lot, said)


def _back(request: CoopRequest, lot: Lot, said: str, taken: Taken | None = None) -> HttpResponse:
    """For htmx the row and what left the shelf lately; else the pantry at that row.

    The row has a way back from what was `taken` just now.
    """
    if wants_part(request):
        fresh, today = lot_for(request.member, lot.pk), today_in(request.coop, timezone.now())
        found = pantry_of(fresh.household, today)
        context = {
            **_taken_lately(request, fresh.household),
            "row": rows_of(request.coop, [fresh], today)[0],
            "pantry": found,
            "group": found.group_of(fresh),
            "taken": taken,
            "is_changed": True,
        }
        return say(render(request, "kitchen/pantry/changed.html", context), said)
    messages.success(request, said)
    query = urlencode({"household": lot.household_id, "page": request.GET.get("page", 1)})
    page = reverse("kitchen:pantry", args=[request.coop.slug])
    return redirect(f"{page}?{query}#lot-{lot.pk}")
