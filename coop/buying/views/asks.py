"""Pages of asks: what a household wants of a line."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import asks as acts
from coop.buying.forms.asks import AskForm
from coop.buying.queries.asks import (
    are_asks_open,
    ask_of,
    has_accepted_rules,
    household_to_ask_for,
    households_in,
)
from coop.buying.queries.buys import line_for
from coop.buying.queries.hub import hub_of
from coop.buying.views.acts import refusal_in
from coop.buying.views.buys import rules_told
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.figures import quantity
from coop.web.pages import refused

#: Digits of an amount that an address may propose: no more than a form takes.
LONGEST_WANTED = 8


def household_named(request: CoopRequest) -> Household:
    """The household that a request acts for: `household` in its address or form, else one's own.

    A coordinator may name any of the co-op; another member gets a 403 for another household.
    """
    named = request.POST.get("household") or request.GET.get("household") or ""
    if named and not named.isdecimal():
        raise Http404
    household = household_to_ask_for(request.member, int(named) if named else None)
    rights.require_ask_for(request.member, household)
    return household


@require_http_methods(["GET", "POST"])
def ask(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """Ask for a line, or change the ask."""
    line = line_for(request.member, buy_id, line_id)
    household = household_named(request)
    current = ask_of(line, household)
    has_accepted = has_accepted_rules(line.buy, household)
    form = AskForm(
        request.POST or None,
        line=line,
        has_accepted=has_accepted,
        initial=AskForm.initial_of(current) | _reckoned(request),
    )
    if form.is_valid():
        terms = form.terms()
        with refusal_in(form):
            acts.place_ask(
                buy_id,
                line_id,
                terms,
                household=household,
                by=request.member,
                accept_rules=form.accepts(),
            )
            whose = "Your ask" if household == request.member.household else household.name
            said = quantity(terms.wanted, line.measure)
            messages.success(request, f"{whose}: {said} {line.produce}. Saved.")
            return redirect("buying:buy", request.coop.slug, buy_id)
    context = {
        "form": form,
        "buy": line.buy,
        "line": line,
        "lines": hub_of(line.buy, request.member).lines,
        "household": household,
        "is_for_other": household != request.member.household,
        "others": households_in(request.member) if request.member.coordinator else (),
        "current": current if current and current.wanted else None,
        "is_open": are_asks_open(line.buy),
        "rules": rules_told(line.buy),
        "smallest": min(line.supplies.all(), key=lambda supply: supply.size, default=None),
    }
    return (refused if form.errors else render)(request, "buying/asks/ask.html", context)


def _reckoned(request: CoopRequest) -> dict[str, int]:
    """The amount that an address proposes, in base steps, as reckoned from jars to fill."""
    wanted = request.GET.get("wanted", "")
    return {"wanted": int(wanted)} if wanted.isdecimal() and len(wanted) <= LONGEST_WANTED else {}


@require_POST
def give_up(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """Give up an ask before the close."""
    line = line_for(request.member, buy_id, line_id)
    household = household_named(request)
    acts.give_up_ask(buy_id, line_id, household=household, by=request.member)
    messages.success(request, f"{household.name} asks for no {line.produce} any more.")
    return redirect("buying:buy", request.coop.slug, buy_id)
