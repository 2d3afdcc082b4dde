"""Pages of a buy: the list, the buy, how it stands, its close."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import buys as acts
from coop.buying.actions import closing
from coop.buying.forms.buys import BuyForm, ReopenForm
from coop.buying.models import Buy
from coop.buying.queries.asks import (
    are_asks_open,
    are_rules_frozen,
    has_accepted_rules,
    households_in,
)
from coop.buying.queries.buys import buy_for
from coop.buying.queries.hub import buys_listed, hub_of
from coop.buying.queries.spent import has_money_moved
from coop.buying.queries.standing import standing_of
from coop.buying.views.acts import refusal_in
from coop.buying.words import BASES, RULES
from coop.equipment.queries.coming_from import coming_from
from coop.kitchen.queries.needs import is_planned
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.web.pages import page_or_part, refused

PER_PAGE = 20
HISTORY = 50
#: Stages at which shares may be planned.
AFTER_CALL_IN = frozenset(Buy.Stage) - {Buy.Stage.ASKING, Buy.Stage.CALLED_OFF}


@require_GET
def buys(request: CoopRequest) -> HttpResponse:
    """The buys under way, or the past ones."""
    past = request.GET.get("past") == "1"
    pages = Paginator(buys_listed(request.member, past=past), PER_PAGE)
    context = {
        "page": pages.get_page(request.GET.get("page")),
        "past": past,
        "now": timezone.now(),
        "household_count": households_in(request.member).count(),
        "can_post": rights.can_post_buys(request.member),
    }
    return render(request, "buying/buys/list.html", context)


@require_GET
def buy(request: CoopRequest, buy_id: int) -> HttpResponse:
    """One buy: its stage, what comes next for me, its lines, rules and history."""
    found = buy_for(request.member, buy_id)
    can_run = rights.can_run(request.member, found)
    context = {
        "buy": found,
        "hub": hub_of(found, request.member),
        "rules": rules_told(found),
        "has_accepted": has_accepted_rules(found, request.member.household),
        "can_run": can_run,
        "can_ask_for_others": request.member.coordinator,
        "has_plans": found.stage in AFTER_CALL_IN and is_planned(found),
        "booked": coming_from(request.coop, f"buy:{found.pk}", timezone.now()),
        "may_step_back": can_run and not has_money_moved(found),
        "history": changes_of(request.coop, found)[:HISTORY],
    }
    return render(request, "buying/buys/buy.html", context)


def rules_told(buy: Buy) -> dict[str, str]:
    """The words of the rules of a buy that are chosen from a list."""
    rule = RULES[buy.shortage_rule]
    return {
        "shortage": f"{rule.label}. {rule.sentence}",
        "fuel": BASES[Buy.Basis(buy.fuel_basis)],
        "other": BASES[Buy.Basis(buy.other_basis)],
    }


@require_http_methods(["GET", "POST"])
def new_buy(request: CoopRequest) -> HttpResponse:
    """Post a buy with its rules."""
    rights.require_post_buys(request.member)
    form = BuyForm(
        request.POST or None, coop=request.coop, households=households_in(request.member)
    )
    if form.is_valid():
        with refusal_in(form):
            made = acts.post_buy(form.plan(), form.rules(), by=request.member)
            messages.success(request, "Posted. Now put in what it draws on.")
            return redirect("buying:add_line", request.coop.slug, made.pk)
    answer = refused if form.errors else render
    return answer(request, "buying/buys/form.html", {"form": form, "buy": None})


@require_http_methods(["GET", "POST"])
def edit_buy(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Change a buy; its rules only while nobody has accepted them."""
    found = buy_for(request.member, buy_id)
    rights.require_run(request.member, found)
    form = BuyForm(
        request.POST or None,
        coop=request.coop,
        households=households_in(request.member),
        buy=found,
        frozen=are_rules_frozen(found),
        initial=BuyForm.initial_of(found),
    )
    if form.is_valid():
        with refusal_in(form):
            acts.change_buy(found.pk, form.plan(), form.rules(), by=request.member)
            messages.success(request, "Saved.")
            return redirect("buying:buy", request.coop.slug, found.pk)
    answer = refused if form.errors else render
    return answer(request, "buying/buys/form.html", {"form": form, "buy": found})


@require_GET
def standing(request: CoopRequest, buy_id: int) -> HttpResponse:
    """How the asks stand: containers, price breaks, what each would pay, and what is covered."""
    found = buy_for(request.member, buy_id)
    context = {
        "buy": found,
        "standing": standing_of(found),
        "can_run": rights.can_run(request.member, found),
        "is_open": are_asks_open(found),
        "rules": rules_told(found),
    }
    return page_or_part(request, "buying/buys/standing.html", "buying/buys/_standing.html", context)


@require_POST
def close_asks(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Close the asks now."""
    closing.close_asks(buy_id, by=request.member)
    messages.success(request, "Asks are closed. Now choose the containers.")
    return redirect("buying:buy", request.coop.slug, buy_id)


@require_http_methods(["GET", "POST"])
def reopen_asks(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Open the asks again, or move their close."""
    found = buy_for(request.member, buy_id)
    rights.require_run(request.member, found)
    form = ReopenForm(
        request.POST or None, coop=request.coop, initial={"until": found.asks_close_at}
    )
    if form.is_valid():
        with refusal_in(form):
            closing.reopen_asks(found.pk, form.cleaned_data["until"], by=request.member)
            messages.success(request, "Asks are open until the time you set.")
            return redirect("buying:buy", request.coop.slug, found.pk)
    answer = refused if form.errors else render
    return answer(request, "buying/buys/reopen.html", {"form": form, "buy": found})
