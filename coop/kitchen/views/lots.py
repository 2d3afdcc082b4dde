"""Pages of lots: one of them, counting out, seals, what did not seal; frozen and dried ones."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.core.lot_codes import WrongCode, read_code
from coop.kitchen import rights
from coop.kitchen.actions import lots as acts
from coop.kitchen.actions import seals as seal_acts
from coop.kitchen.forms.lots import (
    CountOutForm,
    FatesForm,
    KeptForm,
    SealsForm,
    kept_as,
)
from coop.kitchen.forms.trace import CodeForm
from coop.kitchen.models import Lot, Way
from coop.kitchen.queries import seals as told
from coop.kitchen.queries.dangers import dangers_of
from coop.kitchen.queries.findings import findings_of
from coop.kitchen.queries.lots import lot_for, lot_numbered, lots_in_load, shelf_of
from coop.kitchen.queries.plans import use_for
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved

HISTORY = 30
NO_LOT = 404
LONGEST_NUMBER = 9


@require_GET
def lot(request: CoopRequest, lot_id: int) -> HttpResponse:
    """One lot: its code, what it is, how many are where, and what it waits for."""
    found = lot_for(request.member, lot_id)
    context = about_lot(request, found) | {
        "fates": list(found.fates.select_related("new_lot", "by")),
        "came_of": list(found.came_of.select_related("lot")),
        "history": changes_of(request.coop, found)[:HISTORY],
    }
    return render(request, "kitchen/lots/lot.html", context)


@require_http_methods(["GET", "POST"])
def new_lot(request: CoopRequest) -> HttpResponse:
    """Write down what was frozen or dried."""
    text = request.GET.get("use", "")
    use = use_for(request.member, _number(text)) if text else None
    template = "kitchen/lots/new.html"
    if request.method == "GET":
        today = timezone.localdate(timezone=ZoneInfo(request.coop.time_zone))
        initial = {"household": request.member.household_id, "made_on": today}
        form = KeptForm(coop=request.coop, initial=initial | (kept_as(use) if use else {}))
        return render(request, template, {"form": form, "use": use})
    form, made = KeptForm(request.POST, coop=request.coop), []
    if saved(form, lambda: made.append(acts.new_lot(form.kept(use), by=request.member))):
        messages.success(request, "Written down; it stands on the shelf.")
        return redirect("kitchen:lot", request.coop.slug, made[0].pk)
    return refused(request, template, {"form": form, "use": use})


@require_http_methods(["GET", "POST"])
def count_out(request: CoopRequest, lot_id: int) -> HttpResponse:
    """Count the jars that came out of the canner."""
    found = _canned_to_keep(request, lot_id)
    data = request.POST if request.method == "POST" else None
    out = found.counted_in if found.counted_out is None else found.counted_out
    form = CountOutForm(data, initial={"counted_out": out, "why": found.difference_why})
    context, template = about_lot(request, found) | {"form": form}, "kitchen/lots/count_out.html"
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        typed = form.cleaned_data
        acts.count_out(found.pk, typed["counted_out"], typed["why"], by=request.member)

    if saved(form, act):
        messages.success(request, "Counted out.")
        return redirect("kitchen:lot", request.coop.slug, found.pk)
    return refused(request, template, context)


@require_http_methods(["GET", "POST"])
def seals(request: CoopRequest, lot_id: int) -> HttpResponse:
    """How many jars sealed: offered once they have stood for their hours."""
    found = _canned_to_keep(request, lot_id)
    data = request.POST if request.method == "POST" else None
    form = SealsForm(data, lot=found, initial={"sealed": shelf_of(found).sealed})
    context, template = about_lot(request, found) | {"form": form}, "kitchen/lots/seals.html"
    if request.method == "GET":
        return render(request, template, context)
    made: list[Lot] = []

    def act() -> None:
        sealed = form.cleaned_data["sealed"]
        made.append(seal_acts.try_seals(found.pk, sealed, by=request.member))

    if saved(form, act):
        messages.success(request, "The seals are written down.")
        left = shelf_of(made[0]).fateless
        page = "kitchen:unsealed" if left else "kitchen:lot"
        return redirect(page, request.coop.slug, found.pk)
    return refused(request, template, context)


@require_http_methods(["GET", "POST"])
def unsealed(request: CoopRequest, lot_id: int) -> HttpResponse:
    """What became of the jars that did not seal."""
    found = _canned_to_keep(request, lot_id)
    known = told.fates_told(found)
    can_reprocess = told.may_reprocess(found, timezone.now())
    data = request.POST if request.method == "POST" else None
    initial = {what: fate.count for what, fate in known.items()}
    is_suspect = bool(found.load and found.load.suspect_at)
    form = FatesForm(data, can_reprocess=can_reprocess, is_suspect=is_suspect, initial=initial)
    context = about_lot(request, found) | {
        "form": form,
        "can_reprocess": can_reprocess,
        "again": initial.get("reprocessed", 0),
        "why_not_again": "" if can_reprocess else seal_acts.why_not_again(found),
    }
    template = "kitchen/lots/unsealed.html"
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        note = form.cleaned_data["note"]
        seal_acts.tell_fates(found.pk, form.fates(known), note=note, by=request.member)

    if saved(form, act):
        messages.success(request, "Written down what became of them.")
        return redirect("kitchen:lot", request.coop.slug, found.pk)
    return refused(request, template, context)


@require_GET
def lot_by_code(request: CoopRequest, code: str) -> HttpResponse:
    """Where the code on a label leads."""
    return _to_lot(request, code)


@require_GET
def find_lot(request: CoopRequest) -> HttpResponse:
    """Where a code that was typed leads; before that, the box to type it in."""
    code = request.GET.get("code", "").strip()
    if not code:
        return render(request, "kitchen/lots/no_lot.html", {"form": CodeForm()})
    return _to_lot(request, code)


def _to_lot(request: CoopRequest, code: str) -> HttpResponse:
    try:
        number = read_code(code)
        return redirect("kitchen:lot", request.coop.slug, lot_numbered(request.member, number).pk)
    except WrongCode as wrong:
        sentence = wrong.sentence
    except Http404:
        sentence = "There is no such lot in this co-op."
    context = {"sentence": sentence, "form": CodeForm(initial={"code": code[:40]})}
    return render(request, "kitchen/lots/no_lot.html", context, status=NO_LOT)


def _canned_to_keep(request: CoopRequest, lot_id: int) -> Lot:
    """A lot out of a canner, for who may count and try it."""
    found = lot_for(request.member, lot_id)
    if found.way != Way.CAN:
        raise Http404
    rights.require_keep_lot(request.member, found)
    return found


def about_lot(request: CoopRequest, found: Lot) -> dict[str, Any]:
    """What every page of a lot reads."""
    dangers = dangers_of(request.coop, [found]).get(found.pk, [])
    context: dict[str, Any] = {
        "lot": found,
        # Of a suspect load its findings say more.
        "dangers": [each for each in dangers if each.warning],
        "shelf": shelf_of(found),
        "can_keep": rights.can_keep_lot(request.member, found),
    }
    if found.load is None:
        return context
    now = timezone.now()
    return context | {
        "load": found.load,
        "findings": findings_of(found.load, lots_in_load(found.load)),
        "step": told.step_of(found, now, dangers),
        "times": told.seal_times(found.load),
        "not_before": seal_acts.not_before(found.load),
        "is_early": told.seal_times(found.load).is_early(now),
        "seal_hours": (told.hours("cooling_hours_low"), told.hours("cooling_hours_high")),
        "seal_source": told.source_of_hours(),
    }


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER):
        raise Http404
    return int(text)
