"""The page of a deposit: given back after the return, whole or less what is kept of it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coop.equipment import rights
from coop.equipment.actions.money import Settled, settle_deposit
from coop.equipment.errors import AlreadyWritten
from coop.equipment.forms.handovers import DepositForm
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.costs import KEEP_WITHIN, costs_for
from coop.equipment.queries.handovers import back_of
from coop.money.views.acts import entered
from coop.people.middleware import CoopRequest
from coop.people.rights import require
from coop.web.pages import refused


@require_http_methods(["GET", "POST"])
def deposit(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Give a deposit back."""
    booking = booking_for(request.member, booking_id)
    require(rights.can_see_costs(request.member, booking), rights.FOR_DEPOSITS)
    costs = costs_for(request.member, booking, timezone.now())
    form = DepositForm(request.POST if request.method == "POST" else None, coop=request.coop)
    context = {
        "booking": booking,
        "thing": booking.thing,
        "costs": costs,
        "back": back_of(booking),
        "form": form,
        "keep_within_days": KEEP_WITHIN.days,
    }
    if request.method == "GET":
        return render(request, "equipment/deposit.html", context)

    made: list[Settled] = []

    def act() -> None:
        typed = form.cleaned_data
        made.append(
            settle_deposit(
                booking.pk,
                typed["kept_cents"] or 0,
                typed["why"],
                by=request.member,
                once=form.number,
            )
        )

    try:
        if not entered(request, form, act, said=lambda: made[0].sentence):
            return refused(request, "equipment/deposit.html", context)
    except AlreadyWritten as refusal:
        messages.info(request, refusal.sentence)
    return redirect("equipment:booking", request.coop.slug, booking.pk)
