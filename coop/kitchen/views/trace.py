"""Tracing: find a lot by its code, follow it back, and follow a delivery forwards."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from coop.kitchen import rights
from coop.kitchen.forms.trace import CodeForm
from coop.kitchen.models import Lot
from coop.kitchen.queries.lots import lot_for
from coop.kitchen.queries.trace import (
    supplies_of_coop,
    supply_for,
    trace_of_lot,
    trace_of_supply,
)
from coop.kitchen.queries.warnings import latest_warnings
from coop.people.middleware import CoopRequest
from coop.web.pages import refused

#: Deliveries on one page.
DELIVERIES = 20


@require_GET
def trace(request: CoopRequest) -> HttpResponse:
    """By the code on a jar, or from a delivery."""
    form = CodeForm(request.GET if "code" in request.GET else None)
    if form.is_bound and form.is_valid():
        number = form.cleaned_data["code"]
        lot = Lot.objects.filter(coop=request.coop, number=number).only("pk").first()
        if lot is not None:
            return redirect("kitchen:trace_lot", request.coop.slug, lot.pk)
        form.add_error("code", "The code is right, but no lot of this co-op has it.")
    deliveries = Paginator(supplies_of_coop(request.coop), DELIVERIES)
    context = {
        "form": form,
        "page": deliveries.get_page(request.GET.get("page")),
        "warnings": latest_warnings(request.coop),
    }
    if form.errors:
        return refused(request, "kitchen/trace/search.html", context)
    return render(request, "kitchen/trace/search.html", context)


@require_GET
def trace_lot(request: CoopRequest, lot_id: int) -> HttpResponse:
    """From a lot to its farm, its load, and all that hangs together with it."""
    lot = lot_for(request.member, lot_id)
    traced = trace_of_lot(lot)
    context = {
        "lot": lot,
        "traced": traced,
        "here": [traced.here],
        "can_warn": rights.can_warn(request.member),
    }
    return render(request, "kitchen/trace/lot.html", context)


@require_GET
def trace_supply(request: CoopRequest, supply_id: int) -> HttpResponse:
    """From a delivery to every jar and household."""
    delivery, got = trace_of_supply(supply_for(request.member, supply_id))
    context = {
        "delivery": delivery,
        "supply": delivery.supply,
        "got": got,
        "lots": [place for each in got for place in each.lots],
        "can_warn": rights.can_warn(request.member),
    }
    return render(request, "kitchen/trace/supply.html", context)
