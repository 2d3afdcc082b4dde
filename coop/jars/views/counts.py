"""Counting jars: the page with every kind, the pasted list, and the history."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from coop.jars.actions.counts import Counted, CountedSince, save_count
from coop.jars.forms.counts import CountForm, as_initial
from coop.jars.forms.paste import PasteForm
from coop.jars.queries.counts import (
    counts_of,
    household_to_act_for,
    kinds_to_count,
    newest_count,
    to_count,
)
from coop.jars.queries.stock import Stock, stock_of
from coop.jars.rights import can_act_for
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.people.queries import household_for, households_in
from coop.web.pages import refused
from coop.web.refusals import saved

COUNTS_A_PAGE = 10


@require_http_methods(["GET", "POST"])
def count(request: CoopRequest) -> HttpResponse:
    """Count the jars of one's household; a coordinator may count for another."""
    household = household_to_act_for(request.member, request.GET.get("household", ""))
    stock, seen = stock_of(household), _seen(household)
    form = CountForm(
        request.POST if request.method == "POST" else None,
        first=kinds_to_count(stock),
        initial=as_initial(to_count(stock), stock.lids, seen=seen),
    )
    context = _context(request, stock) | {"form": form}
    if request.method == "GET":
        return render(request, "jars/count.html", context)
    if _keep(request, household, form):
        return _kept(request, household)
    return refused(request, "jars/count.html", context)


@require_http_methods(["GET", "POST"])
def paste(request: CoopRequest) -> HttpResponse:
    """Count with a pasted list: shown as it is read, then kept."""
    household = household_to_act_for(request.member, request.GET.get("household", ""))
    stock, seen = stock_of(household), _seen(household)
    form = PasteForm(
        request.POST if request.method == "POST" else None,
        kept=Counted(to_count(stock), stock.lids),
        known=kinds_to_count(stock) if stock.kinds else (),
        initial={"seen": seen},
    )
    context = _context(request, stock) | {"form": form}
    if request.method == "GET":
        return render(request, "jars/paste.html", context)
    if form.is_valid() and not ("save" in request.POST and form.was_shown()):
        form.show()
        return render(request, "jars/paste.html", context | {"shown": form.counted()})
    if _keep(request, household, form):
        return _kept(request, household)
    return refused(request, "jars/paste.html", context)


@require_GET
def counts(request: CoopRequest, household_id: int) -> HttpResponse:
    """Every count of a household, the newest first."""
    household = household_for(request.member, household_id)
    page = Paginator(counts_of(household), COUNTS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "household": household,
        "is_own": household.pk == request.member.household_id,
        "may_count": can_act_for(request.member, household) and not household.left_at,
        "page": page,
    }
    return render(request, "jars/counts.html", context)


def _keep(request: CoopRequest, household: Household, form: CountForm | PasteForm) -> bool:
    """Keep what the form says. Where somebody counted meanwhile, the form then stands on that."""

    def act() -> None:
        try:
            seen = form.cleaned_data["seen"]
            save_count(household, form.counted(), by=request.member, seen=seen)
        except CountedSince:
            form.see(_seen(household))
            raise

    return saved(form, act)


def _kept(request: CoopRequest, household: Household) -> HttpResponse:
    messages.success(request, f"The count of {household.name} is kept.")
    if household.pk == request.member.household_id:
        return redirect("jars:jars", request.coop.slug)
    return redirect("jars:counts", request.coop.slug, household.pk)


def _seen(household: Household) -> int:
    newest = newest_count(household)
    return newest.pk if newest else 0


def _context(request: CoopRequest, stock: Stock) -> dict[str, Any]:
    others = households_in(request.coop) if request.member.coordinator else []
    return {
        "household": stock.household,
        "stock": stock,
        "is_own": stock.household.pk == request.member.household_id,
        "choices": others,
    }
