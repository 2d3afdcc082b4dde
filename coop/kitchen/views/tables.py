"""Pages of the published tables, and of the one question that is asked of them most."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coop.core.preserving import NoTestedProcess, find_process
from coop.core.tables import TABLES
from coop.kitchen.forms.tables import FoodForm, ProcessForm, products_of
from coop.kitchen.queries import tables as queries
from coop.kitchen.queries.kitchens import kitchens_to_offer, own_kitchen
from coop.kitchen.queries.ways import ended_below
from coop.people.middleware import CoopRequest
from coop.web.pages import refused

ROWS_A_PAGE = 100
LONGEST_SEARCH = 100


def _search(request: CoopRequest) -> str:
    return request.GET.get("q", "").strip()[:LONGEST_SEARCH]


@require_safe
def tables(request: CoopRequest) -> HttpResponse:
    """Every table, or what a search finds in all of them."""
    search = _search(request)
    found = queries.found_in_all(search) if search else []
    lines = [line for each in found for line in each.lines[: queries.MOST_FOUND]]
    context = {
        "tables": [(table, len(table.rows)) for table in TABLES.values()],
        "search": search,
        "found": found,
        "most": queries.MOST_FOUND,
        "sources": queries.sources_of(lines),
    }
    return render(request, "kitchen/tables/tables.html", context)


@require_safe
def table(request: CoopRequest, name: str) -> HttpResponse:
    """One table, as it is published, with its sources spelled out."""
    search = _search(request)
    shown = queries.shown(name, search)
    page = Paginator(shown.lines, ROWS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "shown": shown,
        "search": search,
        "page": page,
        "sources": queries.sources_of(list(page.object_list)),
    }
    return render(request, "kitchen/tables/table.html", context)


@require_safe
def find(request: CoopRequest) -> HttpResponse:
    """The tested process of one food in one jar, or plainly that there is none."""
    kitchens = list(kitchens_to_offer(request.coop, request.member.household_id))
    context: dict[str, Any] = {"kitchens": kitchens}
    if "produce" not in request.GET:
        place = own_kitchen(request.member.household_id) or request.coop
        context["food"] = FoodForm(initial={"altitude_ft": place.altitude_ft})
        return render(request, "kitchen/tables/find.html", context)
    food = context["food"] = FoodForm(request.GET)
    if not food.is_valid():
        return refused(request, "kitchen/tables/find.html", context)
    produce, altitude_ft = food.cleaned_data["produce"], food.cleaned_data["altitude_ft"]
    context |= {
        "produce": produce,
        "altitude_ft": altitude_ft,
        "published": queries.published_at(altitude_ft, produce),
        "is_canned": queries.is_canned(produce),
        "ended": ended_below(produce, altitude_ft),
        "has_products": bool(products_of(produce)),
    }
    asked = context["asked"] = ProcessForm(
        request.GET if "jar" in request.GET else None,
        produce=produce,
        initial={"produce": produce, "altitude_ft": altitude_ft, "method": "dial_gauge"},
    )
    if asked.is_valid():
        try:
            context["process"] = find_process(**asked.cleaned_data)
        except NoTestedProcess as none:
            context["none"] = none
    elif asked.is_bound:
        return refused(request, "kitchen/tables/find.html", context)
    return render(request, "kitchen/tables/find.html", context)
