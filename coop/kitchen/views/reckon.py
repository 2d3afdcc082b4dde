"""The page that asks the other way round: so many jars, how much to ask for?"""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coop.buying.models import Line
from coop.core.preserving import produce_named
from coop.kitchen.forms.reckon import ReckonFoodForm, jars_to_fill, wanted_forms
from coop.kitchen.forms.tables import all_produce
from coop.kitchen.queries.reckon import line_to_ask, lines_to_ask, reckoned
from coop.people.middleware import CoopRequest
from coop.web.pages import refused

PAGE = "kitchen/reckon.html"


@require_safe
def reckon(request: CoopRequest) -> HttpResponse:
    """Jars to pounds, and to the containers to ask for; for a line of a buy, an ask follows."""
    line = _line(request)
    named = request.GET.get("produce") or (produce_named(line.produce) if line else "") or ""
    has_yield = named not in dict(all_produce()) or bool(jars_to_fill(named))
    food = ReckonFoodForm({"produce": named} if named and has_yield else None)
    context: dict[str, Any] = {"line": line, "food": food}
    if not has_yield:
        return render(request, PAGE, context | {"without_yield": named})
    if not food.is_valid():
        return (refused if food.is_bound else render)(request, PAGE, context)
    produce = food.cleaned_data["produce"]
    is_asked = "form-TOTAL_FORMS" in request.GET
    forms = wanted_forms(request.GET if is_asked else None, produce)
    context |= {"produce": produce, "forms": forms}
    if is_asked and not forms.is_valid():
        return refused(request, PAGE, context)
    if is_asked and (wanted := forms.wanted()):
        found = reckoned(produce, wanted, line)
        lines = [] if line else lines_to_ask(request.coop, produce, found.likely)
        context |= {"wanted": wanted, "reckoned": found, "lines": lines}
    return render(request, PAGE, context)


def _line(request: CoopRequest) -> Line | None:
    named = request.GET.get("line", "")
    if not named:
        return None
    if not named.isdecimal():
        raise Http404
    return line_to_ask(request.member, int(named))
