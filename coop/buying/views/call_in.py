"""Pages of the order: lot plans, calling in, the sheet to read out, stepping back, calling off."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.buying import rights
from coop.buying.actions import call_in as acts
from coop.buying.forms.buys import CallInForm, CountsForm, ReasonForm
from coop.buying.models import Buy, Supply
from coop.buying.notices.called_off import whom_it_tells
from coop.buying.queries.asks import are_asks_open
from coop.buying.queries.buys import buy_for
from coop.buying.queries.lines import lines_of, supplies_of
from coop.buying.queries.lots import called_in_counts
from coop.buying.queries.orders import Order, orders_of
from coop.buying.queries.picking import picking_of
from coop.buying.views.acts import refusal_in
from coop.buying.views.charts import plan_chart
from coop.people.middleware import CoopRequest
from coop.web.pages import UNPROCESSABLE, refused


def picked_in(
    request: HttpRequest, supplies: Sequence[Supply]
) -> tuple[CountsForm, dict[int, int]]:
    """The containers that an address names, and the form that read them; what is wrong is left."""
    named = {f"n-{supply.pk}" for supply in supplies} & set(request.GET)
    form = CountsForm(request.GET if named else None, supplies=supplies)
    if not named:
        return form, {}
    form.is_valid()
    read = form.cleaned_data
    return form, {
        supply.pk: read[f"n-{supply.pk}"] for supply in supplies if f"n-{supply.pk}" in read
    }


@require_GET
def lots(request: CoopRequest, buy_id: int) -> HttpResponse:
    """What can be called in, and what each choice does to each household."""
    buy = buy_for(request.member, buy_id)
    supplies = supplies_of(lines_of([buy]))
    form, picked = picked_in(request, supplies)
    picking = picking_of(buy, picked)
    if not form.errors:
        initial = {f"n-{key}": count for key, count in picking.counts.items()}
        form = CountsForm(supplies=supplies, initial=initial)
    context = {
        "buy": buy,
        "picking": picking,
        "lines": [(each, plan_chart(each)) for each in picking.lines],
        "form": form,
        "can_run": rights.can_run(request.member, buy),
        "is_open": are_asks_open(buy),
    }
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "buying/buys/lots.html", context, status=status)


@require_http_methods(["GET", "POST"])
def call_in(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Place the order: the sheet to read out, and what was agreed."""
    buy = buy_for(request.member, buy_id)
    rights.require_run(request.member, buy)
    if buy.stage != Buy.Stage.ASKING and request.method == "GET":
        return redirect("buying:call_in_sheet", request.coop.slug, buy.pk)
    supplies = supplies_of(lines_of([buy]))
    if request.method == "POST":
        form = CallInForm(request.POST, supplies=supplies)
        picked = {}
        if form.is_valid():
            picked, typed = form.counts(), form.cleaned_data
            with refusal_in(form):
                acts.call_in(
                    buy.pk,
                    picked,
                    spoke_to=typed["spoke_to"],
                    note=typed["note"],
                    by=request.member,
                )
                messages.success(request, "Called in. Everybody can see what was ordered.")
                return redirect("buying:buy", request.coop.slug, buy.pk)
    else:
        picked = picked_in(request, supplies)[1]
        form = None
    picking = picking_of(buy, picked)
    initial = {f"n-{key}": count for key, count in picking.counts.items()}
    context = {
        "buy": buy,
        "picking": picking,
        "orders": _orders(request, supplies, picking.counts),
        "form": form or CallInForm(supplies=supplies, initial=initial),
        "is_open": are_asks_open(buy),
    }
    status = UNPROCESSABLE if form else 200
    return render(request, "buying/buys/call_in.html", context, status=status)


@require_GET
def call_in_sheet(request: CoopRequest, buy_id: int) -> HttpResponse:
    """The order to read over the phone, send as a text, or carry along."""
    buy = buy_for(request.member, buy_id)
    lines = lines_of([buy])
    supplies, called_in = supplies_of(lines), called_in_counts(lines)
    counts = called_in or picking_of(buy, picked_in(request, supplies)[1]).counts
    context = {
        "buy": buy,
        "orders": _orders(request, supplies, counts),
        "is_called_in": bool(called_in),
        "placed": getattr(buy, "call_in", None),
    }
    return render(request, "buying/buys/sheet.html", context)


def _orders(
    request: CoopRequest, supplies: Sequence[Supply], counts: Mapping[int, int]
) -> list[tuple[Order, str]]:
    """Each farm's order, and the same as a message."""
    return [(each, each.text(request.coop.currency)) for each in orders_of(supplies, counts)]


@require_http_methods(["GET", "POST"])
def step_back(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Go one stage back, with a reason."""
    return _with_reason(
        request,
        _to_run(request, buy_id),
        acts.step_back,
        question="Go one stage back?",
        text="The buy goes to the stage before this one. What was ordered or tallied there is open "
        "again. It can be done until money has moved for the buy.",
        label="Go back",
        done="The buy is one stage back.",
    )


@require_http_methods(["GET", "POST"])
def call_off(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Call a buy off, with a reason, having read who will be told."""
    buy = _to_run(request, buy_id)
    told = whom_it_tells(buy, timezone.now())
    return _with_reason(
        request,
        buy,
        acts.call_off,
        question="Call this buy off?",
        text="Nothing more happens with it, and nobody is charged. The asks stay written. " + told,
        label="Call it off",
        done="The buy is called off.",
    )


def _to_run(request: CoopRequest, buy_id: int) -> Buy:
    buy = buy_for(request.member, buy_id)
    rights.require_run(request.member, buy)
    return buy


def _with_reason(
    request: CoopRequest, buy: Buy, act: Callable[..., Buy], *, done: str, **words: Any
) -> HttpResponse:
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        with refusal_in(form):
            act(buy.pk, form.cleaned_data["why"], by=request.member)
            messages.success(request, done)
            return redirect("buying:buy", request.coop.slug, buy.pk)
    back_url = reverse("buying:buy", args=[request.coop.slug, buy.pk])
    context = {**words, "form": form, "back_url": back_url}
    return (refused if form.errors else render)(request, "pages/confirm.html", context)
