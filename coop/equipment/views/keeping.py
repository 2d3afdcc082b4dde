"""Pages of what goes with a thing: its hours, its parts, and the sheet to tape on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from coop.core.tables import spelled_out
from coop.equipment.actions.keeping import set_hours, set_parts
from coop.equipment.forms.hours import HoursForm
from coop.equipment.forms.parts import PartsForm
from coop.equipment.models import Thing
from coop.equipment.queries.fitness import fitness_of
from coop.equipment.queries.jars_held import class_of
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import require_keep
from coop.equipment.templatetags.equipment_words import cautions_of
from coop.kitchen.drawings import qr_matrix, qr_path
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def hours(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Say when in the week a thing may be out."""
    thing = _to_keep(request, thing_id)
    if "any" in request.POST:
        set_hours(thing.pk, [], by=request.member)
        return _kept(request, thing, "It may be out at any time.")
    form = HoursForm(
        request.POST if request.method == "POST" else None,
        initial=HoursForm.initial_of(thing.hours.all()),
    )
    if "copy" in request.POST:
        form = form.copied(request.POST["copy"])
    context: dict[str, Any] = {"thing": thing, "form": form}
    if not form.is_bound:
        return render(request, "equipment/hours.html", context)
    if saved(form, lambda: set_hours(thing.pk, form.spans(), by=request.member)):
        return _kept(request, thing, "The hours are kept.")
    return refused(request, "equipment/hours.html", context)


@require_http_methods(["GET", "POST"])
def parts(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Say which parts go out with a thing and are counted when it changes hands."""
    thing = _to_keep(request, thing_id)
    form = PartsForm(
        request.POST if request.method == "POST" else None,
        parts={part.name: part.count for part in thing.parts.all()},
    )
    context = {"thing": thing, "form": form}
    if request.method == "GET":
        return render(request, "equipment/parts.html", context)
    if saved(form, lambda: set_parts(thing.pk, form.parts(), by=request.member)):
        return _kept(request, thing, "The list of parts is kept.")
    return refused(request, "equipment/parts.html", context)


@require_safe
def sheet(request: CoopRequest, thing_id: int) -> HttpResponse:
    """A sheet to print and tape on a thing; its QR code opens the page of its handover."""
    thing = thing_for(request.member, thing_id)
    address = reverse("equipment:handover", args=[request.coop.slug, thing.pk])
    url = request.build_absolute_uri(address)
    matrix = qr_matrix(url)
    context = {
        "thing": thing,
        "canner": class_of(thing),
        "url": url,
        "modules": len(matrix),
        "qr": qr_path(matrix),
        "sources": _sources(thing),
        "fitness": fitness_of(thing, today_in(request.coop, timezone.now())),
    }
    return render(request, "equipment/sheet.html", context)


def _sources(thing: Thing) -> list[str]:
    """Who says what the sheet tells to heed, each once."""
    keys = dict.fromkeys(key for each in cautions_of(thing) for key in each.source)
    return [spelled_out(key) for key in keys]


def _to_keep(request: CoopRequest, thing_id: int) -> Thing:
    thing = thing_for(request.member, thing_id)
    require_keep(request.member, thing)
    return thing


def _kept(request: CoopRequest, thing: Thing, said: str) -> HttpResponse:
    messages.success(request, said)
    return redirect("equipment:thing", request.coop.slug, thing.pk)
