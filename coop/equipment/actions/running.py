"""The end of what ends by itself is moved as it runs; who comes next is moved with it."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils import timezone

from coop.core.figures import join_words
from coop.equipment import rights
from coop.equipment.actions.changing import is_out
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import lapse_offers, offer_openings
from coop.equipment.actions.shifting import Shift, shift
from coop.equipment.errors import Refused, TooLate
from coop.equipment.models import Booking
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.running import must_wait, run_of
from coop.equipment.words import moment_said
from coop.people.changes import record_change
from coop.people.models import Member

#: Judgement, no source: what runs for longer is a day typed wrongly.
LONGEST_RUN = timedelta(days=7)


class OthersMustWait(Refused):
    """Others would be moved: their bookings are named, and the act wants a yes."""


def move_end(
    booking_id: int,
    expected_at: datetime,
    latest_at: datetime,
    *,
    by: Member,
    others_wait: bool = False,
    now: datetime | None = None,
) -> Booking:
    """Say anew when a run is likely to be done, and by when at the latest.

    Neither the hours of the thing nor its longest loan stand against it: the machine decides.
    Where somebody must start later, that wants `others_wait`; they are told, and may say no. Time
    that it frees is offered. Raises NotAllowed, Refused, OthersMustWait, TooLate; Http404.
    """
    now = now or timezone.now()
    with one_act():
        found = booking_for(by, booking_id)
        rights.require_change(by, found)
        thing = lock_thing(by.coop, found.thing_id)
        lapse_offers(thing, now)
        booking = booking_for(by, booking_id)
        booking.thing = thing
        _require_run(booking, expected_at, latest_at, now)
        shifts = [Shift(other, to) for other, to in must_wait(booking, latest_at)]
        _require_nobody_has_it(shifts)
        if shifts and not others_wait:
            raise OthersMustWait(_waiting_said(shifts), field="others_wait")
        shift(thing, shifts, by=by, now=now)
        _set(booking, expected_at, latest_at, by=by)
        touch_bookings([booking])
        offer_openings(thing, now)
        return booking


def _require_run(
    booking: Booking, expected_at: datetime, latest_at: datetime, now: datetime
) -> None:
    run = run_of(booking, now)
    if run is None:
        raise Refused("It does not end by itself: move the booking instead.")
    if not run.is_on:
        raise TooLate("It is not running. Move the booking instead.")
    if latest_at <= now:
        raise Refused("That has passed. Say until when it may run.", field="latest_at")
    if latest_at - booking.starts_at > LONGEST_RUN:
        raise Refused("That is over a week after its start. Choose a day.", field="latest_at")
    if not booking.starts_at < expected_at <= latest_at:
        raise Refused(
            "It is likely to be done after its start, and by its latest end.", field="expected_at"
        )


def _require_nobody_has_it(shifts: list[Shift]) -> None:
    """Nobody can be moved who has the thing already."""
    for each in shifts:
        if is_out(each.booking):
            raise TooLate(f"{each.booking.household} has it now, so it is not running for you.")


def _waiting_said(shifts: list[Shift]) -> str:
    said = [
        f"{each.booking.household} would start {each.said}"
        for each in shifts
        if not each.booking.held_until
    ]
    if not said:
        return "An offer to the next in line would be let go."
    return f"{join_words(said)}."


def _set(booking: Booking, expected_at: datetime, latest_at: datetime, *, by: Member) -> None:
    before = {"expected_at": str(booking.expected_at), "ends_at": str(booking.ends_at)}
    booking.expected_at, booking.ends_at = expected_at, latest_at
    booking.free_at = latest_at + timedelta(minutes=booking.turnaround_minutes)
    booking.save(update_fields=["expected_at", "ends_at", "free_at"])
    coop = booking.coop
    sentence = (
        f"Likely done {moment_said(expected_at, coop)}, {moment_said(latest_at, coop)} at the "
        "latest."
    )
    after = {"expected_at": str(expected_at), "ends_at": str(latest_at)}
    record_change(booking, sentence, coop=coop, by=by, before=before, after=after)
