"""Pages of bookings: the form, one of them, the lists, and what changes one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.core.figures import counted
from coop.equipment import rights
from coop.equipment.actions import booking as acts
from coop.equipment.actions import changing, ready
from coop.equipment.errors import Refused, Taken, TooLate
from coop.equipment.forms.bookings import BookForm, moment_asked, presets
from coop.equipment.forms.changing import CancelForm, MoveForm, move_address
from coop.equipment.models import Booking
from coop.equipment.queries.book_page import (
    BookingPage,
    Ground,
    bill_of,
    booking_page,
    chosen_rows,
    free_for,
    ground_of,
    next_times,
)
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.mine import coming, past, standing
from coop.notices.queries.feed import event_about
from coop.people.changes import topic
from coop.people.middleware import CoopRequest
from coop.people.models import Member
from coop.people.queries.households import households_in
from coop.web.pages import refused
from coop.web.refusals import CONFLICT, saved

PER_PAGE = 25
#: The button that reckons again what stands beside the form, and where the page then stands.
LOOK, RECKONED = "look", "reckoned"
ASKED = ("start", "end", "expected", "purpose", "about", "household", "last")


# ---- booking --------------------------------------------------------------------------------
@require_http_methods(["GET", "POST"])
def book(request: CoopRequest) -> HttpResponse:
    """Book one thing or several: the form, filled in as its address asks.

    Costs and what else is free are reckoned for what the form was filled in with; "Look again"
    leads to the address that fills it in with what was typed since.
    """
    ground, member = ground_of(request.coop, timezone.now()), request.member
    things = {thing.pk: thing for thing in ground.things}
    asked = {"thing": request.GET.getlist("thing")} | {
        name: request.GET.get(name, "") for name in ASKED
    }
    initial = presets(asked, request.coop, things)
    form = BookForm(
        request.POST if request.method == "POST" else None,
        initial=initial | {"household": initial["household"] or member.household_id},
        coop=request.coop,
        things=ground.things,
        stopped=ground.stopped,
        households=list(households_in(request.coop)) if rights.is_steward(member) else [],
    )
    if LOOK in request.POST:
        here = reverse("equipment:book", args=[request.coop.slug])
        return redirect(f"{here}?{form.address_typed()}&{LOOK}=1#{RECKONED}")
    context = _beside(form, ground, member) | {"looked": LOOK in request.GET}
    if request.method == "GET":
        return render(request, "equipment/book.html", context)
    booked: list[Booking] = []
    taken = _tried(form, lambda: booked.extend(_book(request, form)))
    if taken:
        in_line = form.address_in_line(taken.thing)
        return _taken(request, taken, form, ways_back={"things": form.chosen, "in_line": in_line})
    if not booked:
        return refused(request, "equipment/book.html", context)
    return redirect("equipment:booking", request.coop.slug, booked[0].pk)


def _beside(form: BookForm, ground: Ground, member: Member) -> dict[str, Any]:
    """The form, and what to know of what is chosen in it so far, right or not."""
    span = form.span
    form.offer_also(free_for(ground, span) if span else None)
    chosen = chosen_rows(form.chosen, ground, form.household_chosen(member.household), span)
    return {"form": form, "chosen": chosen, "bill": bill_of(chosen, span), "span": span}


def _book(request: CoopRequest, form: BookForm) -> list[Booking]:
    """Do what the form says, once or weekly, and say what came of it."""
    typed = form.cleaned_data
    whose: dict[str, Any] = {
        "household": form.household(request.member.household),
        "by": request.member,
        "purpose": typed["purpose"],
        "about": typed["about"],
    }
    if not typed["last_on"]:
        booked = acts.book(form.wishes(), **whose)
        messages.success(request, "Booked.")
        return booked
    weekly = acts.book_weekly(form.wishes(), form.weeks(), **whose)
    said = f"{counted(len(weekly.booked), 'booking')} made."
    if weekly.failed:
        missed = counted(len(weekly.failed), "week")
        named = "it is" if len(weekly.failed) == 1 else "they are"
        messages.warning(request, f"{said} {missed} could not be had: {named} named below.")
    else:
        messages.success(request, said)
    return weekly.booked


def _tried(form: Form, act: Callable[[], Any]) -> Taken | None:
    """Do the act if the form is valid; a Taken comes back, other refusals stand in the form.

    A time that has passed is put right in the form like any other.
    """
    try:
        saved(form, act)
    except Taken as refusal:
        return refusal
    except TooLate as refusal:
        if refusal.field not in form.fields:
            raise
        form.add_error(refusal.field, refusal.sentence)
    return None


def _taken(
    request: CoopRequest, refusal: Taken, form: BookForm | MoveForm, *, ways_back: dict[str, Any]
) -> HttpResponse:
    """Somebody has it then: the next free times, each a way back to the form as it was typed."""
    typed = form.cleaned_data
    context = {
        "refusal": refusal,
        "free": [(start, end, form.address_from(start, end)) for start, end in refusal.free],
        "as_typed": form.address_from(typed["starts_at"], typed["ends_at"]),
        "starts_at": typed["starts_at"],
        "ends_at": typed["ends_at"],
        **ways_back,
    }
    return render(request, "equipment/taken.html", context, status=CONFLICT)


# ---- reading --------------------------------------------------------------------------------
@require_safe
def bookings(request: CoopRequest) -> HttpResponse:
    """The household's bookings or everybody's: those that come and are out, or those over."""
    everybody, is_past = (request.GET.get(name) == "1" for name in ("all", "past"))
    now, own = timezone.now(), request.member.household
    listed = (past if is_past else coming)(request.coop, None if everybody else own, now)
    page = Paginator(listed, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": standing(list(page), own, now),
        "everybody": everybody,
        "past": is_past,
        "query": ("all=1&" if everybody else "") + ("past=1&" if is_past else ""),
    }
    return render(request, "equipment/bookings.html", context)


@require_safe
def booking(request: CoopRequest, booking_id: int) -> HttpResponse:
    """One booking: when, who, how the thing is, what happened, what can be done."""
    page = booking_page(request.member, booking_for(request.member, booking_id), timezone.now())
    context = {
        "page": page,
        "booking": page.booking,
        "goes_out": _goes_out(page),
        "has_file": page.is_coming and bool(event_about(request.member, topic(page.booking))),
    }
    return render(request, "equipment/booking.html", context)


def _goes_out(page: BookingPage) -> bool:
    """Whether the thing can go out with a booking now, by the same rules as the act itself."""
    if not page.may_go_out:
        return False
    try:
        ready.require_can_go(page.booking, page.now)
    except Refused:
        return False
    return True


# ---- changing -------------------------------------------------------------------------------
@require_http_methods(["GET", "POST"])
def move(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Another time for a booking, or a longer or shorter one."""
    moved = booking_for(request.member, booking_id)
    rights.require_change(request.member, moved)
    now, asked = timezone.now(), {name: request.GET.get(name, "") for name in ("start", "end")}
    page = booking_page(request.member, moved, now)
    form = MoveForm(
        request.POST if request.method == "POST" else None,
        booking=moved,
        others=page.same_time,
        initial={
            "starts_at": moment_asked(asked["start"], request.coop) or moved.starts_at,
            "ends_at": moment_asked(asked["end"], request.coop) or moved.ends_at,
            "expected_at": None if asked["start"] else moved.expected_at,
            "with_others": request.GET.get("with") != "none",
        },
    )
    free = [
        (start, end, move_address(start, end, with_others=True))
        for start, end in next_times(page, now)
    ]
    has_time = request.method == "POST" or bool(asked["start"])
    context = {"form": form, "booking": moved, "page": page, "free": free, "has_time": has_time}
    if request.method == "GET":
        return render(request, "equipment/move.html", context)

    def act() -> None:
        typed = form.cleaned_data
        changing.move(
            moved.pk,
            typed["starts_at"],
            typed["ends_at"],
            by=request.member,
            expected_at=typed.get("expected_at"),
            with_others=typed.get("with_others", False),
        )

    taken = _tried(form, act)
    if taken:
        return _taken(request, taken, form, ways_back={"booking": moved})
    if form.errors:
        return refused(request, "equipment/move.html", context)
    messages.success(request, "Moved.")
    return redirect("equipment:booking", request.coop.slug, moved.pk)


@require_POST
def end_now(request: CoopRequest, booking_id: int) -> HttpResponse:
    """It is not needed any longer."""
    ended = changing.end_now(booking_id, by=request.member)
    messages.success(request, f"Ended. {ended.thing} is free for others.")
    return redirect("equipment:booking", request.coop.slug, ended.pk)


@require_http_methods(["GET", "POST"])
def cancel(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Cancel a booking, alone or with what the same act booked for later."""
    page = booking_page(request.member, booking_for(request.member, booking_id), timezone.now())
    rights.require_change(request.member, page.booking)
    later = len(page.later)
    form = CancelForm(request.POST if request.method == "POST" else None, later=later)
    context = {"form": form, "booking": page.booking, "page": page}
    if request.method == "GET":
        return render(request, "equipment/cancel.html", context)
    cancelled: list[Booking] = []

    def act() -> None:
        cancelled.extend(
            changing.cancel(
                booking_id,
                by=request.member,
                why=form.cleaned_data["why"],
                later_too=form.later_too,
            )
        )

    if not saved(form, act):
        return refused(request, "equipment/cancel.html", context)
    messages.success(request, f"{counted(len(cancelled), 'booking')} cancelled.")
    return redirect("equipment:booking", request.coop.slug, booking_id)
