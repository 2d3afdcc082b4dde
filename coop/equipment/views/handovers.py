"""Pages of handovers: what to do at a thing, out, back, taking it as it stands there free."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from coop.core.figures import money
from coop.equipment import rights
from coop.equipment.actions import handovers as acts
from coop.equipment.actions import ready
from coop.equipment.actions.handovers import Return
from coop.equipment.actions.walk_up import take_now as take_it_now
from coop.equipment.errors import AlreadyWritten, NotAllowed, Refused
from coop.equipment.forms.handovers import HandBackForm, HandOutForm, TakeNowForm
from coop.equipment.models import Booking, Handover
from coop.equipment.queries.at_the_thing import Now, at_the_thing, proposed_end
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.costs import costs_before, held_cents
from coop.equipment.queries.fitness import fitness_of
from coop.equipment.queries.handovers import next_for_it, parts_expected
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import FOR_EITHER_SIDE
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.people.queries.households import households_in
from coop.people.rights import require
from coop.web.pages import refused
from coop.web.refusals import CONFLICT, saved


@require_GET
def handover(request: CoopRequest, thing_id: int) -> HttpResponse:
    """What the member who stands before the thing can do now. Its QR code opens this page."""
    thing = thing_for(request.member, thing_id)
    context = {"at": at_the_thing(request.member, thing, timezone.now()), "thing": thing}
    return render(request, "equipment/handover.html", context)


@require_http_methods(["GET", "POST"])
def hand_out(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Hand the thing of a booking out."""
    booking, now = booking_for(request.member, booking_id), timezone.now()
    require(rights.can_hand_over(request.member, booking), FOR_EITHER_SIDE)
    goes_early = ready.goes_early(booking, now)
    start = now if goes_early else booking.starts_at
    form = HandOutForm(*_sent(request), parts=parts_expected(booking, Handover.What.OUT))
    context = {
        "booking": booking,
        "thing": booking.thing,
        "form": form,
        "goes_early": goes_early,
        "fitness": fitness_of(booking.thing, today_in(request.coop, now)),
        "costs": costs_before(booking.thing, booking.household, start, booking.ends_at),
    }

    made: list[Handover] = []

    def act() -> None:
        made.append(acts.hand_out(booking.pk, form.found(), by=request.member, once=form.number))

    if request.method == "GET":
        return _first(request, booking, lambda: ready.require_can_go(booking, now)) or render(
            request, "equipment/hand_out.html", context
        )
    said = f"Written down: {booking.thing} is with {booking.household}."
    return _done(
        request, booking.thing_id, lambda: saved(form, act), lambda: _out_said(said, made[0])
    ) or refused(request, "equipment/hand_out.html", context)


@require_http_methods(["GET", "POST"])
def hand_back(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Take the thing of a booking back."""
    booking, now = booking_for(request.member, booking_id), timezone.now()
    following = next_for_it(booking.thing, now)
    require(rights.can_take_back(request.member, booking, following), FOR_EITHER_SIDE)
    form = HandBackForm(
        *_sent(request),
        parts=parts_expected(booking, Handover.What.BACK),
        thing=booking.thing,
    )
    context = {
        "booking": booking,
        "thing": booking.thing,
        "form": form,
        "is_late": booking.ends_at < now,
        "costs": costs_before(
            booking.thing, booking.household, booking.starts_at, max(booking.ends_at, now)
        ),
        "following": following,
    }
    made: list[Return] = []

    def act() -> None:
        made.append(acts.hand_back(booking.pk, form.found(), by=request.member, once=form.number))

    if request.method == "GET":
        return _first(request, booking, lambda: ready.require_is_out(booking)) or render(
            request, "equipment/hand_back.html", context
        )
    return _done(
        request, booking.thing_id, lambda: saved(form, act), lambda: _back_said(made[0])
    ) or refused(request, "equipment/hand_back.html", context)


@require_http_methods(["GET", "POST"])
def take_now(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Book a thing that stands there free, from now, and hand it out in one act."""
    thing, now = thing_for(request.member, thing_id), timezone.now()
    at = at_the_thing(request.member, thing, now)
    if request.method == "GET" and at.now not in {Now.FREE, Now.YOURS}:
        return redirect("equipment:handover", request.coop.slug, thing.pk)
    ends_at = proposed_end(thing, now, at.free_until or now)
    form = TakeNowForm(
        *_sent(request),
        parts={part.name: part.count for part in thing.parts.all()},
        coop=request.coop,
        ends_at=ends_at,
        households=_households(request),
    )
    context = {
        "at": at,
        "thing": thing,
        "form": form,
        "costs": costs_before(thing, request.member.household, now, max(ends_at, now)),
    }

    made: list[Handover] = []

    def act() -> None:
        typed = form.cleaned_data
        out = take_it_now(
            thing.pk,
            typed["ends_at"],
            form.found(),
            household=form.household(),
            by=request.member,
            purpose=typed["purpose"],
            once=form.number,
        )
        made.append(out)

    if request.method == "GET":
        return render(request, "equipment/take_now.html", context)
    said = f"Booked from now and written down. Bring {thing} back here."
    return _done(
        request, thing.pk, lambda: saved(form, act), lambda: _out_said(said, made[0])
    ) or refused(request, "equipment/take_now.html", context)


def _sent(request: CoopRequest) -> tuple[Any, Any]:
    """What was sent with a form, its photo among it."""
    return (request.POST, request.FILES) if request.method == "POST" else (None, None)


def _first(
    request: CoopRequest, booking: Booking, question: Callable[[], None]
) -> HttpResponse | None:
    """The way back to the thing where the act was done already, or cannot be done now.

    Then the page of the thing answers with the reason above it: it says who has the thing, how to
    reach them, and what can be done instead.
    """
    try:
        question()
    except AlreadyWritten as refusal:
        messages.info(request, refusal.sentence)
        return redirect("equipment:handover", request.coop.slug, booking.thing_id)
    except NotAllowed:
        raise
    except Refused as refusal:
        at = at_the_thing(request.member, booking.thing, timezone.now())
        context = {"at": at, "thing": booking.thing, "refusal": refusal, "booking": booking}
        return render(request, "equipment/handover.html", context, status=CONFLICT)
    return None


def _done(
    request: CoopRequest, thing_id: int, act: Callable[[], bool], said: Callable[[], str]
) -> HttpResponse | None:
    """Do the act, say so, and go back to the thing; None when the form now says what is wrong.

    What was written before, by a second press or by the other side, is as good as done.
    """
    try:
        if not act():
            return None
        messages.success(request, said())
    except AlreadyWritten as refusal:
        messages.info(request, refusal.sentence)
    return redirect("equipment:handover", request.coop.slug, thing_id)


def _out_said(said: str, out: Handover) -> str:
    """What was written down, and what was missing: that is seen to before anybody else takes it."""
    missing = [
        (part.name, part.counted, part.expected)
        for part in out.parts.all()
        if part.counted < part.expected
    ]
    if not missing:
        return said
    return (
        f"{said} It went out with parts missing: {ready.missing_said(missing)}. That is not held "
        "against who has it, and stands on the thing to be seen to before it goes out again."
    )


def _back_said(back: Return) -> str:
    """What a return led to, for the status region."""
    said = ["Written down: it is back."]
    if back.faults:
        said.append("What was found wrong stands below.")
    if back.fee:
        said.append("Its fee is on the statement.")
    if back.deposit_back:
        said.append(f"{back.deposit_back.title}: nothing is kept.")
    elif back.faults and (held := held_cents(back.handover.booking)):
        said.append(_held_said(back.handover.booking, held))
    return " ".join(said)


def _held_said(booking: Booking, held: int) -> str:
    """Who settles a deposit that a return with faults left held."""
    owner = booking.thing.owner
    who = f"{owner} or the steward settles" if owner else "the steward settles"
    return f"The deposit of {money(held, booking.coop.currency)} stays held until {who} it."


def _households(request: CoopRequest) -> list[Household]:
    """For whom the member may take a thing, its own household first."""
    own = request.member.household
    if not rights.is_steward(request.member):
        return [own]
    return [own, *households_in(request.coop).exclude(pk=own.pk)]
