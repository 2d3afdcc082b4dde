"""Bookings moved, shortened, ended early and cancelled. What that frees is offered at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.http import Http404
from django.utils import timezone

from coop.core.figures import join_words
from coop.equipment import rights
from coop.equipment.actions import openings, rules
from coop.equipment.actions.locks import lock_things
from coop.equipment.actions.telling import lay_to_rest, tell
from coop.equipment.errors import Refused, StillOut, Taken, TooLate
from coop.equipment.models import Booking, Handover, Thing, Told
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.free import turnaround_of
from coop.equipment.queries.proposed import next_free_together
from coop.equipment.words import booked_said, moment_said
from coop.people.changes import record_change
from coop.people.models import Member

Span = tuple[datetime, datetime]


def move(
    booking_id: int,
    starts_at: datetime,
    ends_at: datetime,
    *,
    by: Member,
    expected_at: datetime | None = None,
    with_others: bool = False,
    now: datetime | None = None,
) -> Booking:
    """Move a booking to another time of the same thing, or make it longer or shorter.

    While the thing is out only the end can move. Inside the time that it has already, no rule of
    the thing stands against it. The same time again changes nothing. `with_others`: what the same
    act booked for the same time, and did not go out, moves along: all of it, or nothing.

    Raises NotAllowed, Refused, TooLate, NotFit, TooLong, OutsideHours, Taken with the next free
    times; Http404.
    """
    now = now or timezone.now()
    with one_act():
        wanted = _act_of(booking_id, by, _of_same_time) if with_others else [booking_id]
        bookings = {each.pk: each for each in _lock(wanted, by, now)}
        booking = bookings.pop(booking_id)
        span = starts_at.astimezone(UTC), ends_at.astimezone(UTC)
        try:
            moved = [_move(booking, span, expected_at, by=by, now=now)]
            moved += [_move(other, span, None, by=by, now=now) for other in bookings.values()]
        except Taken as refusal:
            if bookings:
                things = [booking.thing, *(other.thing for other in bookings.values())]
                refusal.free = next_free_together(
                    things, span[1] - span[0], span[0], besides=[booking_id, *bookings]
                )
            raise
        for each in filter(None, moved):
            openings.offer_openings(each.thing, now)
        return booking


def _move(
    booking: Booking, span: Span, expected_at: datetime | None, *, by: Member, now: datetime
) -> Booking | None:
    """Move one booking, its thing locked; None where it has that time already."""
    _require_standing(booking)
    _require_movable(booking, span, now)
    is_same = span == (booking.starts_at, booking.ends_at)
    if is_same and expected_at in (None, booking.expected_at):
        return None
    before, said = _times(booking), booked_said(booking, booking.coop)
    booking.expected_at = rules.expected_end(
        booking.thing, span, expected_at or _moved_along(booking, span)
    )
    _place(booking, span, now)
    _answer_shift(booking, by, now)
    _write_moved(booking, said, before, by=by)
    return booking


def end_now(booking_id: int, *, by: Member, now: datetime | None = None) -> Booking:
    """End a booking that has begun: the thing is not needed any longer.

    Raises NotAllowed, StillOut (bring it back instead), Refused (not begun: cancel it), TooLate;
    Http404.
    """
    now = now or timezone.now()
    with one_act():
        [booking] = _lock([booking_id], by, now)
        _require_standing(booking)
        if booking.starts_at >= now:
            raise Refused("It has not begun. Cancel it instead.")
        if booking.ends_at <= now:
            raise TooLate("It is over already.")
        if is_out(booking):
            raise StillOut(
                f"{booking.household} has {booking.thing}: write down that it is back, and the "
                "booking ends."
            )
        before = _times(booking)
        cut_short(booking, now)
        sentence = f"Ended early, {moment_said(now, booking.coop)}."
        record_change(
            booking, sentence, coop=booking.coop, by=by, before=before, after=_times(booking)
        )
        touch_bookings([booking])
        lay_to_rest([booking], now)
        _tell(booking, f"{by} ended your booking of {booking.thing} early: ", by=by)
        openings.offer_openings(booking.thing, now)
        return booking


def cancel(
    booking_id: int,
    *,
    by: Member,
    why: str = "",
    later_too: bool = False,
    now: datetime | None = None,
) -> list[Booking]:
    """Cancel a booking; with `later_too` also what the same act booked for that time or later.

    A thing that is out must come back first. Returns what was cancelled, soonest first.

    Raises NotAllowed, StillOut, Refused (it is an offer), TooLate; Http404.
    """
    now = now or timezone.now()
    with one_act():
        wanted = [booking_id]
        if later_too:
            wanted = _act_of(
                booking_id, by, lambda one: Q(starts_at__gte=one.starts_at, ends_at__gt=now)
            )
        bookings = _lock(wanted, by, now)
        _require_cancellable(next(each for each in bookings if each.pk == booking_id), now)
        cancelled = [each for each in bookings if each.cancelled_at is None and not is_out(each)]
        for booking in cancelled:
            _cancel(booking, by=by, why=why, now=now)
        touch_bookings(cancelled)
        lay_to_rest(cancelled, now)
        _tell_cancelled(cancelled, by=by, why=why)
        for thing in {each.thing_id: each.thing for each in cancelled}.values():
            openings.offer_openings(thing, now)
        return cancelled


def cut_short(booking: Booking, ends_at: datetime) -> None:
    """Give a booking an earlier end, and the turnaround that it has after it. Its thing is locked.

    Nothing is recorded, and nobody told or offered it: that is for the act that does it.
    """
    booking.ends_at = ends_at
    booking.free_at = ends_at + timedelta(minutes=booking.turnaround_minutes)
    if booking.expected_at:
        booking.expected_at = min(booking.expected_at, ends_at)
    booking.save(update_fields=["ends_at", "free_at", "expected_at"])


def is_out(booking: Booking) -> bool:
    """Whether its household has the thing now."""
    moves = {each.what for each in booking.handovers.all()}
    return Handover.What.OUT in moves and Handover.What.BACK not in moves


# ---- locks ----------------------------------------------------------------------------------
def _lock(booking_ids: Iterable[int], by: Member, now: datetime) -> list[Booking]:
    """Bookings of one household to change, read again once their things are locked."""
    rows = Booking.objects.filter(coop=by.coop, pk__in=list(booking_ids))
    first = rows.select_related("household").first()
    if first is None:
        raise Http404
    rights.require_change(by, first)
    things = {
        thing.pk: thing
        for thing in lock_things(by.coop, set(rows.values_list("thing_id", flat=True)))
    }
    for thing in things.values():
        openings.lapse_offers(thing, now)
    bookings = list(
        rows.select_related("coop", "household", "by", "cancelled_by")
        .prefetch_related("handovers")
        .order_by("starts_at", "id")
    )
    for booking in bookings:
        booking.thing = things[booking.thing_id]
    return bookings


def _act_of(booking_id: int, by: Member, which: Callable[[Booking], Q]) -> list[int]:
    """The keys of a booking, and of those that its act booked besides and that stand."""
    booking = booking_for(by, booking_id)
    if booking.together is None:
        return [booking.pk]
    others = Booking.objects.filter(
        which(booking),
        coop=booking.coop,
        household=booking.household,
        together=booking.together,
        cancelled_at=None,
    )
    return [booking.pk, *others.exclude(pk=booking.pk).values_list("pk", flat=True)]


def _of_same_time(booking: Booking) -> Q:
    return Q(starts_at=booking.starts_at, ends_at=booking.ends_at, handovers=None)


# ---- what must hold -------------------------------------------------------------------------
def _require_standing(booking: Booking) -> None:
    if booking.cancelled_at:
        who = f"{booking.cancelled_by} cancelled it" if booking.cancelled_by else "It lapsed"
        raise TooLate(f"{who} already.")
    if booking.held_until:
        raise Refused("It is an offer, not yet a booking: take it or pass it on first.")


def _require_movable(booking: Booking, span: Span, now: datetime) -> None:
    """Raise unless a booking may still be moved to a span by the clock and its handovers."""
    start, end = span
    has_thing = is_out(booking)
    if not has_thing and (booking.ends_at <= now or booking.handovers.all()):
        raise TooLate("It is over. Book a new time instead.")
    if start != booking.starts_at:
        if has_thing:
            raise Refused(
                f"{booking.household} has it already, so it cannot start at another time. Move "
                "the end.",
                field="starts_at",
            )
        rules.require_sense(span, now)
    if end <= start:
        raise Refused("It ends before it starts. Choose a later end.", field="ends_at")
    if end < now:
        raise TooLate("That end has passed. Choose a later one.", field="ends_at")


def _require_cancellable(booking: Booking, now: datetime) -> None:
    _require_standing(booking)
    if is_out(booking):
        raise StillOut(
            f"{booking.household} has {booking.thing}: write down that it is back instead."
        )
    if booking.ends_at <= now or booking.handovers.all():
        raise TooLate("It is over already: nothing is left to cancel.")


# ---- the changes ----------------------------------------------------------------------------
def _place(booking: Booking, span: Span, now: datetime) -> None:
    """Save a booking in a span, by the rules of its thing unless it had all of that time."""
    thing = booking.thing
    if not (booking.starts_at <= span[0] and span[1] <= booking.ends_at):
        _require_may_have(thing, span, booking, now)
        booking.turnaround_minutes = thing.turnaround_minutes
        rules.require_free(thing, span, turnaround_of(thing), besides=[booking.pk])
    booking.starts_at, booking.ends_at = span
    booking.free_at = span[1] + timedelta(minutes=booking.turnaround_minutes)
    fields = ["starts_at", "ends_at", "free_at", "expected_at", "turnaround_minutes"]
    try:
        with transaction.atomic():
            booking.save(update_fields=fields)
    except IntegrityError as refusal:
        named = rules.refused_by_database(
            refusal, thing, span, to=booking.free_at, besides=[booking.pk]
        )
        if named is None:
            raise
        raise named from refusal
    touch_bookings([booking])


def _write_moved(booking: Booking, said: str, before: dict[str, Any], *, by: Member) -> None:
    """Record the move of a booking that was `said` to be at another time, and tell of it."""
    coop, now_said = booking.coop, booked_said(booking, booking.coop)
    if now_said != said:
        sentence = f"Moved from {said} to {now_said}."
        _tell(booking, f"{by} moved {booking.thing} for you, from {said} to ", by=by)
    else:
        likely = moment_said(booking.expected_at or booking.ends_at, coop)
        sentence = f"Likely to be done {likely}."
    record_change(booking, sentence, coop=coop, by=by, before=before, after=_times(booking))


def _require_may_have(thing: Thing, span: Span, booking: Booking, now: datetime) -> None:
    if span[0] > now + rules.FURTHEST_AHEAD:
        rules.require_sense(span, now)
    rules.require_fit(thing)
    rules.require_short(thing, span)
    rules.require_open(thing, span)


def _moved_along(booking: Booking, span: Span) -> datetime | None:
    """When it is likely to be done if it starts so much later, never after its latest end."""
    if booking.expected_at is None:
        return None
    moved = booking.expected_at + (span[0] - booking.starts_at)
    return min(moved, span[1]) if moved > span[0] else None


def _answer_shift(booking: Booking, by: Member, now: datetime) -> None:
    """Who moves a booking that was shifted has said what it wants."""
    is_asked = booking.shifted_at and not booking.shift_answered_at
    if is_asked and by.household_id == booking.household_id:
        booking.shift_answered_at = now
        booking.save(update_fields=["shift_answered_at"])
        lay_to_rest([booking], now, [Told.What.SHIFTED])


def _cancel(booking: Booking, *, by: Member, why: str, now: datetime) -> None:
    booking.cancelled_at, booking.cancelled_by, booking.cancel_why = now, by, why
    booking.save(update_fields=["cancelled_at", "cancelled_by", "cancel_why"])
    sentence = f"Cancelled: {why}" if why else "Cancelled."
    record_change(booking, sentence, coop=booking.coop, by=by, before=_times(booking))


def _times(booking: Booking) -> dict[str, Any]:
    return {
        "starts_at": booking.starts_at.isoformat(),
        "ends_at": booking.ends_at.isoformat(),
        "expected_at": booking.expected_at and booking.expected_at.isoformat(),
    }


# ---- telling --------------------------------------------------------------------------------
def _tell(booking: Booking, lead: str, *, by: Member) -> None:
    """Tell the household, unless one of its own did it; the time as it is now ends the sentence."""
    if by.household_id != booking.household_id:
        sentence = f"{lead}{booked_said(booking, booking.coop)}."
        tell(booking.household, Told.What.CHANGED, booking.thing, sentence, booking=booking)


def _tell_cancelled(cancelled: list[Booking], *, by: Member, why: str) -> None:
    if not cancelled or by.household_id == cancelled[0].household_id:
        return
    first = cancelled[0]
    names = join_words(dict.fromkeys(str(each.thing) for each in cancelled))
    more = f" and {len(cancelled) - 1} more" if len(cancelled) > 1 else ""
    because = f" {why}" if why else ""
    sentence = f"{by} cancelled {names} for you: {booked_said(first, first.coop)}{more}.{because}"
    tell(first.household, Told.What.CHANGED, first.thing, sentence, booking=first)
