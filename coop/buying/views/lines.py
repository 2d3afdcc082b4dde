"""Pages of the lines of a buy."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import lines as acts
from coop.buying.forms.buys import LineForm
from coop.buying.queries.buys import buy_for, line_for
from coop.buying.queries.farms import open_offers_in
from coop.buying.views.acts import refusal_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused


@require_http_methods(["GET", "POST"])
def add_line(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Put a produce into a buy, from what the farms offer now."""
    buy = buy_for(request.member, buy_id)
    rights.require_run(request.member, buy)
    offers = list(open_offers_in(request.coop))
    form = LineForm(request.POST or None, offers=offers, currency=request.coop.currency)
    if form.is_valid():
        with refusal_in(form):
            line = acts.add_line(
                buy.pk, form.offer_ids(), produce=form.cleaned_data["produce"], by=request.member
            )
            messages.success(request, f"{line.produce} is in.")
            return redirect("buying:buy", request.coop.slug, buy.pk)
    context = {
        "form": form,
        "buy": buy,
        "has_offers": bool(offers),
        "can_post": rights.can_post_buys(request.member),
    }
    return (refused if form.errors else render)(request, "buying/buys/add_line.html", context)


@require_POST
def remove_line(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """Take a line out that nobody asks anything of."""
    line = line_for(request.member, buy_id, line_id)
    acts.remove_line(line.buy_id, line.pk, by=request.member)
    messages.success(request, "The line is out.")
    return redirect("buying:buy", request.coop.slug, buy_id)
