"""Money into the till and out of it."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coop.core.figures import money
from coop.money import rights
from coop.money.actions import till
from coop.money.forms.till import TillForm
from coop.money.models import Account
from coop.money.queries.balances import balances_in
from coop.money.queries.till import till_cash_cents
from coop.money.views.acts import entered
from coop.people.middleware import CoopRequest
from coop.people.rights import require
from coop.people.views.proof import fresh_proof
from coop.web.pages import refused


@require_http_methods(["GET", "POST"])
def pay_in(request: CoopRequest) -> HttpResponse:
    """A household puts money into the till."""
    return _till_page(request, is_in=True)


@fresh_proof
@require_http_methods(["GET", "POST"])
def pay_out(request: CoopRequest) -> HttpResponse:
    """The till pays a household."""
    return _till_page(request, is_in=False)


def _till_page(request: CoopRequest, *, is_in: bool) -> HttpResponse:
    require(rights.can_keep_books(request.member), rights.TREASURER_ONLY)
    template = "money/till.html"
    if request.method == "GET":
        form = TillForm(coop=request.coop, initial=_asked_for(request))
        return render(request, template, _context(request, form, is_in=is_in))
    form = TillForm(request.POST, coop=request.coop)

    def act() -> None:
        typed = form.cleaned_data
        pay = till.pay_in if is_in else till.pay_out
        pay(
            typed["household"],
            typed["cents"],
            by=request.member,
            note=typed["note"],
            once=form.number,
        )

    if entered(request, form, act, said=_said(form, request, is_in=is_in)):
        return redirect("money:money", request.coop.slug)
    return refused(request, template, _context(request, form, is_in=is_in))


def _asked_for(request: CoopRequest) -> dict[str, str]:
    household = request.GET.get("household", "")
    return {"household": household} if household.isascii() and household.isdigit() else {}


def _said(form: TillForm, request: CoopRequest, *, is_in: bool) -> str:
    """What to say of it; a form that is wrong says so itself."""
    if not form.is_valid():
        return ""
    amount = money(form.cleaned_data["cents"], request.coop.currency)
    name = form.cleaned_data["household"].name
    return f"{name} paid in {amount}." if is_in else f"{amount} paid out to {name}."


def _context(request: CoopRequest, form: TillForm, *, is_in: bool) -> dict[str, object]:
    balances = balances_in(request.coop, Account.Kind.HOUSEHOLD)
    return {
        "form": form,
        "is_in": is_in,
        "till_cents": till_cash_cents(request.coop),
        "balances": [each for each in balances if (each.cents < 0 if is_in else each.cents > 0)],
    }
