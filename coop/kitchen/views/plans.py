"""Pages of plans: the list, a new one, one with its uses, its card, and our own yields."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.buying.models import Measure, Share
from coop.core.preserving import WHERE_TO_ASK, produce_in_sentence, produce_named
from coop.equipment.queries.coming_from import coming_from
from coop.jars.queries.stock import stock_of
from coop.kitchen import rights
from coop.kitchen.actions import plans as acts
from coop.kitchen.errors import AlreadyPlanned
from coop.kitchen.forms.plans import FreePlanForm, PlanForm, YieldFilter
from coop.kitchen.models import Plan
from coop.kitchen.queries.lacking import shortage_of
from coop.kitchen.queries.plans import (
    farm_of_share,
    households_to_plan_for,
    plan_for,
    plan_of_share,
    plans_in,
    share_to_plan,
    unplanned_shares,
)
from coop.kitchen.queries.plates import sheet_of
from coop.kitchen.queries.together import offers_for
from coop.kitchen.queries.yields import yields_in
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.pages import refused
from coop.web.refusals import saved

ON_A_PAGE = 20
EVERYBODY = "everybody"


@require_GET
def plans(request: CoopRequest) -> HttpResponse:
    """The household's plans, or everybody's; and what it has not planned yet."""
    member = request.member
    everybody = request.GET.get("whose") == EVERYBODY
    found = plans_in(request.coop)
    if not everybody:
        found = found.filter(household=member.household)
    page = Paginator(found, ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "sheets": [sheet_of(plan) for plan in page],
        "everybody": everybody,
        "shares": unplanned_shares(member, everybody=everybody),
    }
    return render(request, "kitchen/plans/plans.html", context)


@require_http_methods(["GET", "POST"])
def new_plan(request: CoopRequest) -> HttpResponse:
    """Plan a share, or what is typed in."""
    if request.GET.get("share"):
        return _plan_share(request, _number(request.GET["share"]))
    households = households_to_plan_for(request.member)
    household = _named_among(households, request) or request.member.household
    form = FreePlanForm(
        request.POST or None,
        household=household,
        households=households,
        initial={"household": household.pk},
    )
    made: list[Plan] = []

    def act() -> None:
        household = form.cleaned_data["household"]
        made.append(acts.make_plan(household, form.terms(), by=request.member))

    if request.method == "POST" and saved(form, act):
        return _to_ways(request, made[0])
    return _form(request, form)


def _plan_share(request: CoopRequest, share_id: int) -> HttpResponse:
    """A share is planned once: a second time leads to its plan."""
    share = share_to_plan(request.member, share_id)
    if plan := plan_of_share(share):
        return redirect("kitchen:plan", request.coop.slug, plan.pk)
    rights.require_act_for(request.member, share.household)
    form = PlanForm(request.POST or None, household=share.household, initial=_initial_of(share))
    made: list[Plan] = []

    def act() -> None:
        made.append(acts.plan_share(share.pk, form.terms(), by=request.member))

    try:
        if request.method == "POST" and saved(form, act):
            return _to_ways(request, made[0])
    except AlreadyPlanned as refusal:
        messages.info(request, "Somebody of the household has planned this share already.")
        return redirect("kitchen:plan", request.coop.slug, refusal.plan_id)
    return _form(request, form, share=share)


def _initial_of(share: Share) -> dict[str, object]:
    line, farm = share.division.line, farm_of_share(share)
    by_weight = line.measure == Measure.WEIGHT
    return {
        "produce": produce_named(line.produce),
        "pounds": share.amount if by_weight else None,
        "farm": farm.pk if farm else None,
    }


def _form(
    request: CoopRequest, form: PlanForm, *, share: Share | None = None, plan: Plan | None = None
) -> HttpResponse:
    unknown = bool(share and not produce_named(share.division.line.produce))
    context = {
        "form": form,
        "share": share,
        "plan": plan,
        "is_unknown": unknown,
        "by_count": bool(share and share.division.line.measure == Measure.COUNT),
        "where_to_ask": WHERE_TO_ASK,
    }
    return (refused if form.errors else render)(request, "kitchen/plans/form.html", context)


def _to_ways(request: CoopRequest, plan: Plan) -> HttpResponseRedirect:
    food = produce_in_sentence(plan.produce)
    messages.success(request, f"Planned. Now choose what to make of the {food}.")
    return redirect("kitchen:ways", request.coop.slug, plan.pk)


def _named_among(households: QuerySet[Household], request: CoopRequest) -> Household | None:
    """The household that was chosen in the form, else the one that the address names."""
    typed, asked = request.POST.get("household", ""), request.GET.get("household", "")
    if _is_number(typed):
        return households.filter(pk=int(typed)).first()
    return households.filter(pk=_number(asked)).first() if asked else None


def _number(text: str) -> int:
    """An id out of an address. What is no number is not there."""
    if not _is_number(text):
        raise Http404
    return int(text)


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= len(str(2**31))


@require_GET
def plan(request: CoopRequest, plan_id: int) -> HttpResponse:
    """One plan: a plate a use, what is left, and what jars are lacking."""
    now, found = timezone.now(), plan_for(request.member, plan_id)
    sheet = sheet_of(found, yields_in(request.coop, found.produce))
    context = {
        "plan": found,
        "sheet": sheet,
        "booked": coming_from(request.coop, f"plan:{found.pk}", now),
        "offers": offers_for(found),
        "shortage": shortage_of(sheet, stock_of(found.household), now),
        "may_act": rights.can_act_for(request.member, found.household) and not found.dropped_at,
        "history": changes_of(request.coop, found)[:20],
    }
    return render(request, "kitchen/plans/plan.html", context)


@require_http_methods(["GET", "POST"])
def edit_plan(request: CoopRequest, plan_id: int) -> HttpResponse:
    """Change the pounds, the kitchen or the farm of a plan."""
    found = plan_for(request.member, plan_id)
    rights.require_act_for(request.member, found.household)
    form = PlanForm(
        request.POST or None,
        household=found.household,
        plan=found,
        initial=PlanForm.initial_of(found),
    )

    def act() -> None:
        acts.change_plan(found.pk, form.terms(), by=request.member)

    if request.method == "POST" and saved(form, act):
        messages.success(request, "Saved. Minutes and jars are reckoned anew.")
        return redirect("kitchen:plan", request.coop.slug, found.pk)
    return _form(request, form, plan=found)


@require_http_methods(["GET", "POST"])
def drop_plan(request: CoopRequest, plan_id: int) -> HttpResponse:
    """Drop a plan, after a yes."""
    found = plan_for(request.member, plan_id)
    rights.require_act_for(request.member, found.household)
    if request.method == "POST":
        acts.drop_plan(found.pk, by=request.member)
        messages.success(request, "The plan is dropped.")
        return redirect("kitchen:plans", request.coop.slug)
    return render(request, "kitchen/plans/drop.html", {"plan": found})


@require_GET
def card(request: CoopRequest, plan_id: int) -> HttpResponse:
    """The plan as a sheet for the kitchen."""
    found = plan_for(request.member, plan_id)
    context = {"plan": found, "sheet": sheet_of(found)}
    return render(request, "kitchen/plans/card.html", context)


@require_GET
def yields(request: CoopRequest) -> HttpResponse:
    """What the co-op's own batches gave, beside what is published."""
    form = YieldFilter(request.GET, coop=request.coop)
    chosen = form.cleaned_data if form.is_valid() else {}
    farm = chosen.get("farm")
    found = yields_in(request.coop, chosen.get("produce", ""), farm.pk if farm else None)
    context = {"yields": found, "form": form, "is_narrowed": bool(farm or chosen.get("produce"))}
    return render(request, "kitchen/plans/yields.html", context)
