"""Pages of asks that pass to another household after the close."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import releases as acts
from coop.buying.forms.asks import AcceptForm, ReleaseForm
from coop.buying.queries.asks import (
    ask_to_release,
    has_accepted_rules,
    households_in,
    release_for,
)
from coop.buying.views.acts import refusal_in
from coop.buying.views.asks import household_named
from coop.buying.views.buys import rules_told
from coop.people.middleware import CoopRequest
from coop.web.pages import refused


@require_http_methods(["GET", "POST"])
def release(request: CoopRequest, buy_id: int, ask_id: int) -> HttpResponse:
    """Offer an ask, or part of it, to others."""
    ask = ask_to_release(request.member, buy_id, ask_id)
    rights.require_ask_for(request.member, ask.household)
    form = ReleaseForm(request.POST or None, line=ask.line, initial={"amount": ask.wanted})
    if form.is_valid():
        with refusal_in(form):
            acts.release_ask(buy_id, ask.pk, form.cleaned_data["amount"], by=request.member)
            messages.success(request, "Offered to the others. It is yours until somebody takes it.")
            return redirect("buying:buy", request.coop.slug, buy_id)
    context = {"form": form, "ask": ask, "line": ask.line, "buy": ask.line.buy}
    return (refused if form.errors else render)(request, "buying/asks/release.html", context)


@require_POST
def withdraw(request: CoopRequest, buy_id: int, release_id: int) -> HttpResponse:
    """Keep what was offered."""
    acts.withdraw_release(buy_id, release_id, by=request.member)
    messages.success(request, "It is off the list; you keep it.")
    return redirect("buying:buy", request.coop.slug, buy_id)


@require_http_methods(["GET", "POST"])
def take(request: CoopRequest, buy_id: int, release_id: int) -> HttpResponse:
    """Take what another household offers."""
    found = release_for(request.member, buy_id, release_id)
    household = household_named(request)
    line = found.ask.line
    has_accepted = has_accepted_rules(line.buy, household)
    form = AcceptForm(request.POST if request.method == "POST" else None, has_accepted=has_accepted)
    if form.is_valid():
        with refusal_in(form):
            acts.take_release(
                buy_id,
                found.pk,
                household=household,
                by=request.member,
                accept_rules=form.accepts(),
            )
            messages.success(request, f"{household.name} has taken it.")
            return redirect("buying:buy", request.coop.slug, buy_id)
    context = {
        "form": form,
        "release": found,
        "line": line,
        "buy": line.buy,
        "household": household,
        "others": households_in(request.member) if request.member.coordinator else (),
        "rules": rules_told(line.buy),
    }
    return (refused if form.errors else render)(request, "buying/asks/take.html", context)
