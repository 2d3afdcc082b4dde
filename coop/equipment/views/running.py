"""Pages of what ends by itself: its end moved, and the answer of who was moved."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coop.equipment import rights
from coop.equipment.actions.running import OthersMustWait, move_end
from coop.equipment.actions.shifting import answer_shift as answer
from coop.equipment.actions.shifting import is_to_answer
from coop.equipment.errors import TooLate
from coop.equipment.forms.running import RunForm
from coop.equipment.models import Booking
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.handovers import next_for_it
from coop.equipment.queries.proposed import next_free
from coop.equipment.queries.running import run_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def run(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Say anew when a run is likely to be done."""
    booking, now = booking_for(request.member, booking_id), timezone.now()
    rights.require_change(request.member, booking)
    found = run_of(booking, now)
    if found is None or not found.is_on:
        raise TooLate("It is not running. Move the booking instead.")
    form = RunForm(request.POST if request.method == "POST" else None, booking=booking)
    template = "equipment/run.html"
    context = {
        "booking": booking,
        "run": found,
        "form": form,
        "next_booking": next_for_it(booking.thing, now),
    }
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        typed = form.cleaned_data
        try:
            move_end(
                booking.pk,
                typed["expected_at"],
                typed["latest_at"],
                others_wait=typed["others_wait"],
                by=request.member,
            )
        except OthersMustWait as question:
            form.ask(question.sentence)

    if saved(form, act) and not form.question:
        messages.success(request, "Changed. Who comes next has been told, if it moves them.")
        return redirect("equipment:booking", request.coop.slug, booking.pk)
    return refused(request, template, context)


@require_http_methods(["GET", "POST"])
def answer_shift(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Say whether the later time suits."""
    booking = booking_for(request.member, booking_id)
    rights.require_change(request.member, booking)
    if request.method == "POST":
        suits = request.POST.get("suits") == "yes"
        answer(booking.pk, suits=suits, by=request.member)
        if suits:
            messages.success(request, "Thank you: the later time is yours.")
            return redirect("equipment:booking", request.coop.slug, booking.pk)
        messages.success(request, "It is let go. The household before you has been told.")
        return redirect("equipment:thing", request.coop.slug, booking.thing_id)
    if not is_to_answer(booking):
        raise TooLate("There is nothing to answer any more.")
    context = {"booking": booking, "free": _later(booking)}
    return render(request, "equipment/shift.html", context)


def _later(booking: Booking) -> list[tuple[object, object]]:
    """A few other times of the same length."""
    length = booking.ends_at - booking.starts_at
    spans = next_free(booking.thing, length, timezone.now(), besides=[booking.pk])
    return [span for span in spans if span != (booking.starts_at, booking.ends_at)]
