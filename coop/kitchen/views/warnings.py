"""Pages of warnings: who would be told, the warning itself, and that it was read."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying.models import Supply
from coop.kitchen import rights
from coop.kitchen.actions import warnings as acts
from coop.kitchen.forms.warnings import WarnForm
from coop.kitchen.models import JarWarning, Load, Lot
from coop.kitchen.queries.labels import written_out
from coop.kitchen.queries.lots import load_for, lot_for, product_said, spoken_code
from coop.kitchen.queries.trace import supply_for
from coop.kitchen.queries.warnings import to_tell, told_of, warning_for, what_to_do
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def warn_lot(request: CoopRequest, lot_id: int) -> HttpResponse:
    """Warn everyone who has jars of a lot."""
    lot = lot_for(request.member, lot_id)
    said = f"lot {spoken_code(lot)}: {product_said(lot)}, {lot.household}"
    back = reverse("kitchen:trace_lot", args=[request.coop.slug, lot.pk])
    return _warn(request, lot, said, back)


@require_http_methods(["GET", "POST"])
def warn_load(request: CoopRequest, load_id: int) -> HttpResponse:
    """Warn everyone who has jars of a load; the load may be called suspect with it."""
    load = load_for(request.member, load_id)
    said = f"load {load.run} of {written_out(load.day)}, {load.canner}"
    back = reverse("kitchen:load", args=[request.coop.slug, load.pk])
    return _warn(request, load, said, back)


@require_http_methods(["GET", "POST"])
def warn_supply(request: CoopRequest, supply_id: int) -> HttpResponse:
    """Warn everyone who has jars of a delivery."""
    supply = supply_for(request.member, supply_id)
    said = f"{supply.line} from {supply.farm}, {supply.line.buy.title}"
    back = reverse("kitchen:trace_supply", args=[request.coop.slug, supply.pk])
    return _warn(request, supply, said, back)


def _warn(request: CoopRequest, about: Lot | Load | Supply, said: str, back: str) -> HttpResponse:
    rights.require_warn(request.member)
    asks = isinstance(about, Load) and not about.suspect_at
    form = WarnForm(request.POST or None, asks_suspect=asks)
    households = to_tell(request.coop, about)
    context = {
        "said": said,
        "form": form,
        "whom": [each for each in households if not each.has_left],
        "left": [each for each in households if each.has_left],
        "back_url": back,
    }
    if request.method == "GET":
        return render(request, "kitchen/warnings/warn.html", context)
    made: list[JarWarning] = []

    def act() -> None:
        typed = form.cleaned_data
        suspect = typed.get("is_suspect", False)
        made.append(acts.warn(about, typed["sentence"], by=request.member, is_suspect=suspect))

    if saved(form, act):
        messages.success(request, "They are told: each household reads it on This week.")
        return redirect("kitchen:warning", request.coop.slug, made[0].pk)
    return refused(request, "kitchen/warnings/warn.html", context)


@require_GET
def warning(request: CoopRequest, warning_id: int) -> HttpResponse:
    """A warning, what to do with the jars, and who has read it."""
    found = warning_for(request.member, warning_id)
    told = list(told_of(found))
    cautions = what_to_do()
    mine = [each for each in told if each.household_id == request.member.household_id]
    context = {
        "warning": found,
        "told": told,
        "mine": mine[0] if mine else None,
        "what_to_do": cautions,
        "sources": dict.fromkeys(key for each in cautions for key in each.source),
    }
    return render(request, "kitchen/warnings/warning.html", context)


@require_POST
def read_warning(request: CoopRequest, warning_id: int) -> HttpResponse:
    """Somebody of the household has read it."""
    found = warning_for(request.member, warning_id)
    acts.read_warning(found, by=request.member)
    messages.success(request, "Written down: your household has read this.")
    return redirect("kitchen:warning", request.coop.slug, found.pk)
