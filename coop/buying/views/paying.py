"""Money that changes hands for a buy: fees, credits, farms paid, cash taken."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from coop.buying import rights
from coop.buying.actions import credits as credit_acts
from coop.buying.actions import farm_payments, fees, pay_in
from coop.buying.forms.costs import (
    CashForm,
    CreditForm,
    FarmPaymentForm,
    FeeForm,
    households_now,
)
from coop.buying.models import Buy
from coop.buying.queries.buys import buy_for
from coop.buying.queries.costs import FarmBill, farm_bills
from coop.buying.queries.farms import farm_for
from coop.buying.queries.shares import household_in
from coop.buying.queries.tally import lines_came
from coop.buying.views.pickup import changed_card
from coop.core.figures import money
from coop.money.forms.once import OnceForm
from coop.money.models import Account
from coop.money.queries.balances import balance_of
from coop.money.queries.rounds import marked_paid_cents
from coop.money.queries.statements import household_account_for
from coop.money.queries.till import till_cash_cents
from coop.money.views.acts import entered
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.pages import refused, say, wants_part

WRITE_METHODS = ["GET", "POST"]


def _to_charge(request: CoopRequest, buy_id: int) -> Buy:
    buy = buy_for(request.member, buy_id)
    rights.require(rights.can_charge(request.member, buy), rights.CHARGES_ARE_KEPT)
    return buy


def _typed(request: CoopRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _answer(
    request: CoopRequest,
    buy: Buy,
    form: OnceForm,
    *,
    context: dict[str, Any],
    act: Callable[[], Any],
) -> HttpResponse:
    """Show the form, or do the act and go back to the costs."""
    template = "buying/costs/form.html"
    context = context | {"buy": buy, "form": form}
    if request.method == "GET":
        return render(request, template, context)
    if entered(request, form, act, said=context["said"]):
        return redirect("buying:costs", request.coop.slug, buy.pk)
    return refused(request, template, context)


# ---- Fees -----------------------------------------------------------------------------------
@require_http_methods(WRITE_METHODS)
def late_change_fee(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Charge a household for a change after the close."""
    buy = _to_charge(request, buy_id)
    cents = buy.late_change_cents
    return _fee(request, buy, "Late-change fee", cents, act=fees.charge_late_change)


@require_http_methods(WRITE_METHODS)
def no_show_fee(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Charge a household that did not come."""
    buy = _to_charge(request, buy_id)
    return _fee(request, buy, "No-show fee", buy.no_show_cents, act=fees.charge_no_show)


def _fee(
    request: CoopRequest, buy: Buy, title: str, cents: int, *, act: Callable[..., Any]
) -> HttpResponse:
    form = FeeForm(_typed(request), households=households_now(request.coop))
    stated = f"This buy states {money(cents, request.coop.currency)}."
    context = {
        "title": title,
        "lede": f"{stated} It goes to the other households of the buy, equally.",
        "label": "Charge it",
        "said": "Charged, and shared by the other households.",
        "is_nothing": not cents,
    }

    def charge() -> None:
        typed = form.cleaned_data
        act(buy, typed["household"], by=request.member, note=typed["note"], once=form.number)

    return _answer(request, buy, form, context=context, act=charge)


# ---- Farms ----------------------------------------------------------------------------------
@require_http_methods(WRITE_METHODS)
def credit(request: CoopRequest, buy_id: int) -> HttpResponse:
    """A farm takes something off its bill."""
    buy = _to_charge(request, buy_id)
    form = CreditForm(_typed(request), buy=buy)
    context = {
        "title": "A farm's credit",
        "lede": "It comes back to whoever paid for that produce, in the same proportion, also to "
        "who claimed it from the spare table.",
        "label": "Book the credit",
        "said": "Booked. Each household sees its part.",
    }

    def act() -> None:
        credit_acts.credit(buy, form.credit(), by=request.member, once=form.number)

    return _answer(request, buy, form, context=context, act=act)


@require_http_methods(WRITE_METHODS)
def pay_farm(request: CoopRequest, buy_id: int, farm_id: int) -> HttpResponse:
    """A farm is paid, by the till or by a household that fronts it."""
    buy = _to_charge(request, buy_id)
    farm = farm_for(request.member, farm_id)
    bill = _bill_of(buy, farm_id)
    initial = {"cents": bill.open_cents} if bill and bill.open_cents > 0 else {}
    form = FarmPaymentForm(_typed(request), buy=buy, is_back=False, initial=initial)
    till_cents = till_cash_cents(request.coop)
    context = {
        "title": f"Pay {farm.name}",
        "lede": f"{_bill_words(request, bill)} The till {_holds(till_cents, request)}.",
        "label": "It is paid",
        "said": f"{farm.name} is paid.",
    }

    def act() -> None:
        typed = form.cleaned_data
        farm_payments.pay_farm(
            buy,
            farm,
            typed["cents"],
            payer=typed["payer"],
            by=request.member,
            note=typed["note"],
            once=form.number,
        )

    return _answer(request, buy, form, context=context, act=act)


@require_http_methods(WRITE_METHODS)
def farm_refund(request: CoopRequest, buy_id: int, farm_id: int) -> HttpResponse:
    """A farm gives money back."""
    buy = _to_charge(request, buy_id)
    farm = farm_for(request.member, farm_id)
    owed_cents = max(0, -balance_of(farm.account))
    initial = {"cents": owed_cents} if owed_cents else {}
    form = FarmPaymentForm(_typed(request), buy=buy, is_back=True, initial=initial)
    context = {
        "title": f"{farm.name} gives money back",
        "lede": f"It owes the co-op {money(owed_cents, request.coop.currency)}.",
        "label": "We have it",
        "said": f"Written down: {farm.name} gave money back.",
    }

    def act() -> None:
        typed = form.cleaned_data
        farm_payments.take_refund(
            buy,
            farm,
            typed["cents"],
            payee=typed["payee"],
            by=request.member,
            note=typed["note"],
            once=form.number,
        )

    return _answer(request, buy, form, context=context, act=act)


def _bill_of(buy: Buy, farm_id: int) -> FarmBill | None:
    return next(
        (each for each in farm_bills(buy, lines_came(buy)) if each.farm.pk == farm_id), None
    )


def _bill_words(request: CoopRequest, bill: FarmBill | None) -> str:
    if bill is None or not bill.bill_cents:
        return "Its bill is not tallied yet."
    currency = request.coop.currency
    if bill.open_cents <= 0:
        return f"Its bill of {money(bill.bill_cents, currency)} is paid."
    return (
        f"Its bill is {money(bill.bill_cents, currency)}; {money(bill.open_cents, currency)} of it "
        "is open."
    )


def _holds(cents: int, request: CoopRequest) -> str:
    amount = money(abs(cents), request.coop.currency)
    return f"is short of {amount}" if cents < 0 else f"holds {amount}"


# ---- Households -----------------------------------------------------------------------------
@require_http_methods(WRITE_METHODS)
def prepay(request: CoopRequest, buy_id: int, household_id: int) -> HttpResponse:
    """A household pays ahead."""
    buy = _to_charge(request, buy_id)
    household = household_in(request.member, household_id)
    form = _cash_form(request, household)
    context = {
        "title": f"{household.name} pays ahead",
        "lede": f"{_stands(request, household)} What is paid ahead stays the household's own until "
        "produce is charged.",
        "label": "It is in the till",
        "said": f"{household.name} paid ahead.",
    }
    act = _taking(request, buy, household, form=form, take=pay_in.prepay)
    return _answer(request, buy, form, context=context, act=act)


@require_http_methods(WRITE_METHODS)
def cash(request: CoopRequest, buy_id: int, household_id: int) -> HttpResponse:
    """A household pays at the pickup: one tap there, or this form."""
    buy = _to_charge(request, buy_id)
    household = household_in(request.member, household_id)
    form = _cash_form(request, household)
    context = {
        "title": f"Cash from {household.name}",
        "lede": _stands(request, household),
        "label": "It is in the till",
        "said": f"{household.name} paid.",
    }
    act = _taking(request, buy, household, form=form, take=pay_in.take_cash)
    if request.method == "POST" and "at_pickup" in request.POST:
        return _at_pickup(request, buy, household, form=form, act=act)
    return _answer(request, buy, form, context=context, act=act)


def _at_pickup(
    request: CoopRequest,
    buy: Buy,
    household: Household,
    *,
    form: CashForm,
    act: Callable[[], Any],
) -> HttpResponse:
    """Back to the household at the pickup: for htmx its card and the sums alone."""
    if not entered(
        request, form, act, said=f"{household.name} paid; {request.member.name} has it."
    ):
        context = {"title": f"Cash from {household.name}", "label": "It is in the till"}
        return refused(request, "buying/costs/form.html", context | {"buy": buy, "form": form})
    if wants_part(request):
        said = " ".join(str(message) for message in messages.get_messages(request))
        return say(changed_card(request, buy, household), said)
    page = reverse("buying:pickup", args=[request.coop.slug, buy.pk])
    return redirect(f"{page}#household-{household.pk}")


def _cash_form(request: CoopRequest, household: Household) -> CashForm:
    owed = max(0, -balance_of(_account(request, household)))
    to_take = max(0, owed - marked_paid_cents(request.coop).get(household.pk, 0))
    initial = {"cents": to_take} if to_take else {}
    return CashForm(_typed(request), coop=request.coop, member=request.member, initial=initial)


def _taking(
    request: CoopRequest,
    buy: Buy,
    household: Household,
    *,
    form: CashForm,
    take: Callable[..., Any],
) -> Callable[[], None]:
    def act() -> None:
        typed = form.cleaned_data
        take(
            buy,
            household,
            typed["cents"],
            by=request.member,
            taken_by=typed["taken_by"],
            once=form.number,
        )

    return act


def _account(request: CoopRequest, household: Household) -> Account:
    return household_account_for(request.member, household.pk)


def _stands(request: CoopRequest, household: Household) -> str:
    cents = balance_of(_account(request, household))
    amount = money(abs(cents), request.coop.currency)
    if cents < 0:
        return f"It owes {amount} by the books."
    return f"It is owed {amount} by the books." if cents else "It owes nothing by the books."
