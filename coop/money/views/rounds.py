"""Squaring up: the preview, the round, its payments."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying.actions import squared
from coop.buying.queries.squaring import households_paid_ahead
from coop.core.figures import counted, money
from coop.money import rights
from coop.money.actions import rounds
from coop.money.errors import BooksNotReady
from coop.money.forms.till import SquareUpForm
from coop.money.models import Payment, SquareUp
from coop.money.queries.rounds import (
    Preview,
    halfway,
    is_behind,
    open_round,
    payment_for,
    preview_round,
    round_for,
)
from coop.people.middleware import CoopRequest
from coop.people.models import Coop, Member
from coop.people.rights import require
from coop.people.views.proof import fresh_proof
from coop.web.pages import UNPROCESSABLE, page_or_part


@fresh_proof
@require_http_methods(["GET", "POST"])
def square_up(request: CoopRequest) -> HttpResponse:
    """Who would pay whom, and who is left out; then the round itself."""
    coop = request.coop
    require(rights.can_keep_books(request.member), rights.TREASURER_ONLY)
    if request.method == "GET":
        form, preview = _previewed(request)
        waiting = [*preview.reasons, *halfway(coop)]
        return _page(request, form, preview, status=200, reasons=waiting)
    form, preview = _chosen(coop, request.POST, kept_before=frozenset())
    keep = form.cleaned_data["keep"] if form.is_valid() else []
    try:
        made = squared.square_up(coop, by=request.member, keep=keep)
    except BooksNotReady as refusal:
        preview = preview_round(coop, keep)
        return _page(request, form, preview, status=UNPROCESSABLE, reasons=refusal.reasons)
    if made.finished_at:
        messages.success(request, "Nothing to pay: everybody is square.")
        return redirect("money:money", coop.slug)
    messages.success(request, f"Squaring up: {counted(made.payments.count(), 'payment')} to make.")
    return redirect("money:round", coop.slug, made.pk)


def _previewed(request: CoopRequest) -> tuple[SquareUpForm, Preview]:
    """As it was asked for; at first, who has paid ahead for a buy is left out."""
    coop = request.coop
    if "shown" in request.GET:
        return _chosen(coop, request.GET, kept_before=frozenset())
    ahead = households_paid_ahead(coop)
    kept = frozenset(
        each.account.pk
        for each in preview_round(coop).balances
        if each.cents > 0 and each.account.household_id in ahead
    )
    return _chosen(coop, None, kept_before=kept)


def _chosen(coop: Coop, data: Any, *, kept_before: frozenset[int]) -> tuple[SquareUpForm, Preview]:
    everybody = preview_round(coop)
    choices = [
        (each.account.pk, f"{each.account.name}, {_standing(each.cents, coop)}")
        for each in everybody.balances
    ]
    form = SquareUpForm(data, choices=choices, initial={"keep": sorted(kept_before)})
    keep = form.cleaned_data["keep"] if data is not None and form.is_valid() else kept_before
    return form, preview_round(coop, keep) if keep else everybody


def _standing(cents: int, coop: Coop) -> str:
    word = "is owed" if cents > 0 else "owes"
    return f"{word} {money(abs(cents), coop.currency)}"


def _page(
    request: CoopRequest,
    form: SquareUpForm,
    preview: Preview,
    *,
    status: int,
    reasons: list[str],
) -> HttpResponse:
    context = {
        "form": form,
        "preview": preview,
        "reasons": reasons,
        "open_round": open_round(request.coop),
    }
    return page_or_part(
        request, "money/square_up.html", "money/_preview.html", context, status=status
    )


@require_GET
def round_(request: CoopRequest, square_up_id: int) -> HttpResponse:
    """One round with its payments."""
    found = round_for(request.member, square_up_id)
    context = {"square_up": found, **round_context(found, request.member)}
    return render(request, "money/round.html", context)


def round_context(square_up: SquareUp, member: Member) -> dict[str, Any]:
    """The payments of a round that a member sees, with what the member may do about each."""
    payments = [
        {
            "payment": payment,
            "can_mark": rights.can_mark_paid(member, payment) and not payment.confirmed_at,
            "can_confirm": rights.can_confirm(member, payment) and not payment.confirmed_at,
        }
        for payment in square_up.payments.all()
        if rights.can_see_payment(member, payment)
    ]
    done = sum(1 for payment in square_up.payments.all() if payment.confirmed_at)
    return {
        "payments": payments,
        "done": done,
        "all_payments": len(square_up.payments.all()),
        "is_open": not square_up.finished_at and not square_up.withdrawn_at,
        "is_behind": not square_up.finished_at
        and not square_up.withdrawn_at
        and is_behind(square_up),
        "keeps_books": rights.can_keep_books(member),
    }


@require_POST
def mark_paid(request: CoopRequest, payment_id: int) -> HttpResponse:
    """The payer says that the money is on its way."""
    payment = payment_for(request.member, payment_id)
    rounds.mark_paid(payment, by=request.member)
    return _back(
        request, payment, f"Marked as paid. Next, it is confirmed for {payment.payee.in_words}."
    )


@require_POST
def take_back_paid(request: CoopRequest, payment_id: int) -> HttpResponse:
    """The payer takes that back."""
    payment = payment_for(request.member, payment_id)
    rounds.take_back_paid(payment, by=request.member)
    return _back(request, payment, "Taken back: it is not marked as paid.")


@require_POST
def confirm_payment(request: CoopRequest, payment_id: int) -> HttpResponse:
    """Whoever gets the money says that it arrived."""
    payment = payment_for(request.member, payment_id)
    finished = squared.confirm_payment(payment, by=request.member)
    amount = money(payment.cents, request.coop.currency)
    said = f"Confirmed: {amount} from {payment.payer.in_words}."
    return _back(request, payment, f"{said} Everybody is square." if finished else said)


def _back(request: CoopRequest, payment: Payment, said: str) -> HttpResponse:
    messages.success(request, said)
    return redirect("money:round", request.coop.slug, payment.square_up_id)
