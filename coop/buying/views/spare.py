"""Pages of the spare table: what nobody has claimed, first come, first served."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from coop.buying.actions.spare import claim_spare as claim
from coop.buying.forms.shares import ClaimForm
from coop.buying.queries.buys import buy_for
from coop.buying.queries.spare import spare_for, spare_table, table_row
from coop.core.figures import quantity
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_GET
def spare(request: CoopRequest, buy_id: int | None = None) -> HttpResponse:
    """What is on the table: of one buy, or of all."""
    buy = buy_for(request.member, buy_id) if buy_id else None
    table = spare_table(request.coop, buy)
    context = {
        "buy": buy,
        "free": [each for each in table if each.left],
        "gone": [each for each in table if not each.left],
    }
    return render(request, "buying/spare/table.html", context)


@require_http_methods(["GET", "POST"])
def claim_spare(request: CoopRequest, spare_id: int) -> HttpResponse:
    """Take some of a spare, or all of it."""
    row = table_row(spare_for(request.member, spare_id))
    form = ClaimForm(request.POST or None, spare=row.spare, left=row.left, by=request.member)
    context = {"buy": row.line.buy, "row": row, "form": form}
    if request.method == "GET":
        return render(request, "buying/spare/claim.html", context)

    def take() -> None:
        typed = form.cleaned_data
        claim(row.spare, typed["household"], typed["amount"], by=request.member)

    if saved(form, take):
        said = quantity(form.cleaned_data["amount"], row.line.measure)
        messages.success(request, f"{said} of {row.line} is for {form.cleaned_data['household']}.")
        return redirect("buying:spare", request.coop.slug, row.line.buy_id)
    return refused(request, "buying/spare/claim.html", context)
