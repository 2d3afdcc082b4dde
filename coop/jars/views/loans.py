"""Pages of loans: the list, and the forms that begin one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.jars import rights
from coop.jars.actions import loans as acts
from coop.jars.errors import Refused
from coop.jars.forms.loans import MOST_JARS, LoanForm
from coop.jars.kinds import KINDS
from coop.jars.loan_words import jars_said
from coop.jars.models import Loan
from coop.jars.queries.loans import (
    Side,
    of_household,
    open_loans,
    past_loans,
    sides_of,
    standing_of,
)
from coop.jars.queries.stock import Age, Stock, age_of, stock_of
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.people.queries.households import household_for, households_in
from coop.web.pages import refused
from coop.web.refusals import saved

PER_PAGE = 20
MOST_DIGITS = 7
USUAL_LOAN = timedelta(days=90)  # a season: common practice, no source


@require_GET
def loans(request: CoopRequest) -> HttpResponse:
    """The household's loans and the others' that are open, or those that are over."""
    past = request.GET.get("past") == "1"
    household, today = request.member.household, today_in(request.coop, timezone.now())
    mine = of_household(household)
    listed = past_loans(request.coop) if past else open_loans(request.coop).exclude(mine)
    page = Paginator(listed, PER_PAGE).get_page(request.GET.get("page"))
    own = [] if past else open_loans(request.coop).filter(mine)
    context = {
        "past": past,
        "page": page,
        "listed": [Side(standing_of(loan), household, today) for loan in page],
        "mine": sides_of(own, household, today),
    }
    return render(request, "jars/loans.html", context)


@require_http_methods(["GET", "POST"])
def borrow(request: CoopRequest, household_id: int) -> HttpResponse:
    """Ask a household for jars that it can spare."""
    lender = household_for(request.member, household_id)
    borrower = _acting(request, lender)

    def ask(wish: acts.Proposal) -> Loan:
        return acts.ask_for_jars(lender, borrower, wish, by=request.member)

    sides = {"lender": lender, "borrower": borrower, "other": lender, "acting": borrower}
    return _begin(request, "jars/borrow.html", ask, sides=sides)


@require_http_methods(["GET", "POST"])
def offer(request: CoopRequest, household_id: int) -> HttpResponse:
    """Offer a household jars that one's own can spare."""
    borrower = household_for(request.member, household_id)
    lender = _acting(request, borrower)

    def propose(wish: acts.Proposal) -> Loan:
        return acts.offer_jars(lender, borrower, wish, by=request.member)

    sides = {"lender": lender, "borrower": borrower, "other": borrower, "acting": lender}
    return _begin(request, "jars/offer.html", propose, sides=sides)


def _begin(
    request: CoopRequest,
    template: str,
    begin: Callable[[acts.Proposal], Loan],
    *,
    sides: Mapping[str, Household],
) -> HttpResponse:
    stock, now = stock_of(sides["lender"]), timezone.now()
    wanted = _wanted(request)
    spare = {kind: held.spare for kind, held in stock.kinds.items() if held.spare}
    initial: dict[str, Any] = {
        kind: min(count, spare[kind]) for kind, count in wanted.items() if kind in spare
    }
    initial["due_on"] = today_in(request.coop, now) + USUAL_LOAN
    form = LoanForm(
        request.POST if request.method == "POST" else None,
        kinds=_offered(request, stock, spare),
        initial=initial,
    )
    context = {
        **sides,
        "form": form,
        "stock": stock,
        "is_old": stock.counted_at is not None and age_of(stock, now) != Age.FRESH,
        "spare": spare,
        "wanted": wanted,
        "short": [
            jars_said(kind, count) for kind, count in wanted.items() if count > spare.get(kind, 0)
        ],
        "choices": _may_act_for(request, sides["other"]),
    }
    if request.method == "GET":
        return render(request, template, context)
    begun: list[Loan] = []

    def act() -> None:
        typed = form.cleaned_data
        wish = acts.Proposal(form.counts(), typed["due_on"], typed["message"])
        begun.append(begin(wish))

    if saved(form, act):
        messages.success(request, f"{sides['other']} reads it on its page of this week.")
        return redirect("jars:loan", request.coop.slug, begun[0].pk)
    return refused(request, template, context)


def _acting(request: CoopRequest, other: Household) -> Household:
    """The household that the member acts for: `for` in the address, else its own.

    A coordinator may name any of the co-op; another member gets a 403 for another household.
    """
    named = request.GET.get("for", "")
    if named and not named.isdecimal():
        raise Http404
    own = request.member.household
    household = household_for(request.member, int(named)) if named else own
    rights.require_act_for(request.member, household)
    for each in (household, other):
        if each.left_at:
            raise Refused(f"{each} has left the co-op.")
    # A coordinator may still choose for whom; the form is not there before.
    if household == other and not (request.member.coordinator and request.method == "GET"):
        raise Refused("A household cannot lend to itself: choose another one.")
    return household


def _may_act_for(request: CoopRequest, other: Household) -> list[Household]:
    """Whom a coordinator may act for towards the other household; nobody for other members."""
    if not request.member.coordinator:
        return []
    return list(households_in(request.coop).exclude(pk=other.pk))


def _wanted(request: CoopRequest) -> dict[str, int]:
    """Jars by kind as the address asks for them: kind and count, each as often as wanted.

    What is no kind or no number is left out.
    """
    pairs = zip(request.GET.getlist("kind"), request.GET.getlist("count"), strict=False)
    return {
        kind: min(int(count), MOST_JARS)
        for kind, count in pairs
        if kind in KINDS and count.isdecimal() and len(count) <= MOST_DIGITS and int(count)
    }


def _offered(request: CoopRequest, stock: Stock, spare: Mapping[str, int]) -> dict[str, int]:
    """Kinds that the form asks for: what is spare now, and what was spare when it was opened."""
    typed = [kind for kind in KINDS if request.POST.get(kind)]
    return {kind: spare.get(kind, 0) for kind in KINDS if kind in spare or kind in typed}
