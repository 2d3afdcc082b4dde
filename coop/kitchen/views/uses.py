"""Pages of uses: every published way, one added, changed, removed."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.core.preserving import WHERE_TO_ASK, NoPublishedYield, NoTestedProcess
from coop.kitchen import rights
from coop.kitchen.actions import uses as acts
from coop.kitchen.forms.uses import UseForm
from coop.kitchen.models import Plan, Use
from coop.kitchen.queries.altitude import altitude_of, place_of
from coop.kitchen.queries.plans import plan_for, use_for
from coop.kitchen.queries.plates import sheet_of, title_of
from coop.kitchen.queries.ways import Row, canned_row, key_in, row_of, ways_at
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import CONFLICT, saved


@require_GET
def ways(request: CoopRequest, plan_id: int) -> HttpResponse:
    """Every published way to keep the produce of a plan at its altitude."""
    plan = plan_for(request.member, plan_id)
    altitude_ft = altitude_of(plan)
    context = {
        "plan": plan,
        "sheet": sheet_of(plan),
        "ways": ways_at(plan.produce, altitude_ft),
        "altitude_ft": altitude_ft,
        "place": place_of(plan),
        "may_act": rights.can_act_for(request.member, plan.household) and not plan.dropped_at,
    }
    return render(request, "kitchen/plans/ways.html", context)


@require_http_methods(["GET", "POST"])
def add_use(request: CoopRequest, plan_id: int) -> HttpResponse:
    """Plan some of the produce to be kept one way, which the address names."""
    plan = plan_for(request.member, plan_id)
    rights.require_act_for(request.member, plan.household)
    key = key_in(request.GET)
    if key is None:
        return redirect("kitchen:ways", request.coop.slug, plan.pk)
    try:
        row = row_of(plan.produce, key, altitude_of(plan))
    except (NoTestedProcess, NoPublishedYield) as refusal:
        return _no_way(request, plan, refusal)
    form = UseForm(request.POST or None, row=row, left=sheet_of(plan).left)

    def act() -> None:
        jar = form.cleaned_data.get("jar", key.jar)
        acts.add_use(plan.pk, key.in_jar(jar), form.terms(), by=request.member)

    if request.method == "POST" and saved(form, act):
        messages.success(request, f"{row.title} is in the plan.")
        return redirect("kitchen:plan", request.coop.slug, plan.pk)
    return _form(request, form, plan, row)


@require_http_methods(["GET", "POST"])
def edit_use(request: CoopRequest, use_id: int) -> HttpResponse:
    """Change how much goes one way, and in which jars."""
    use = use_for(request.member, use_id)
    plan = plan_for(request.member, use.plan_id)
    rights.require_act_for(request.member, plan.household)
    try:
        row = row_of(plan.produce, acts.key_of(use), altitude_of(plan))
    except (NoTestedProcess, NoPublishedYield) as refusal:
        return _no_way(request, plan, refusal, status=CONFLICT)
    left = sheet_of(plan, but=use).left
    form = UseForm(request.POST or None, row=row, left=left, initial=UseForm.initial_of(use))

    def act() -> None:
        acts.change_use(use.pk, form.terms(), by=request.member)

    if request.method == "POST" and saved(form, act):
        messages.success(request, "Saved.")
        return redirect("kitchen:plan", request.coop.slug, plan.pk)
    return _form(request, form, plan, row, use=use)


@require_POST
def remove_use(request: CoopRequest, use_id: int) -> HttpResponse:
    """Take a use out of its plan."""
    said = title_of(use_for(request.member, use_id))
    plan = acts.remove_use(use_id, by=request.member)
    messages.success(request, f"{said}: taken out of the plan.")
    return redirect("kitchen:plan", request.coop.slug, plan.pk)


def _form(
    request: CoopRequest, form: UseForm, plan: Plan, row: Row, *, use: Use | None = None
) -> HttpResponse:
    context = {
        "form": form,
        "plan": plan,
        "row": row,
        "use": use,
        "altitude_ft": altitude_of(plan),
        "place": place_of(plan),
    }
    return (refused if form.errors else render)(request, "kitchen/plans/use_form.html", context)


def _no_way(
    request: CoopRequest,
    plan: Plan,
    refusal: NoTestedProcess | NoPublishedYield,
    *,
    status: int = 404,
) -> HttpResponse:
    context = {
        "plan": plan,
        "sentence": refusal.sentence,
        "nearest": [canned_row(each) for each in getattr(refusal, "nearest", ())],
        "where_to_ask": WHERE_TO_ASK,
        "may_act": True,
    }
    return render(request, "kitchen/plans/no_way.html", context, status=status)
