"""A time has opened on a thing: the first in line is offered it, and has a while to take it.

An offer is a booking that is held: nobody else can take its time meanwhile. Things are locked
before places in line, here and everywhere, so that two who offer cannot wait for each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from coop.core.slots import free_slots
from coop.equipment.actions.telling import lay_to_rest, tell
from coop.equipment.kinds import CYCLE_EXPECTED_HOURS, KINDS
from coop.equipment.models import Booking, Fault, Standby, Thing, Told
from coop.equipment.notices.touched import touch_bookings
from coop.equipment.queries.free import busy_in, free_in, hours_of, turnaround_of
from coop.equipment.queries.line import RAN_OUT, Line, Opening, line_for, next_opening
from coop.equipment.words import moment_said, name_of, span_said
from coop.people.changes import record_change

#: An offer made in the evening is seen by the morning, and whoever comes next has notice still.
#: Judgement, no source.
TIME_TO_TAKE = timedelta(hours=12)


def offer_openings(thing: Thing, now: datetime) -> None:
    """Offer what is free on a thing to those in line for it, fairest first.

    Called, with the thing locked, by every act that may have freed some of its time. Offers that
    ran out are let go first. Safe to call when nothing is free: one query more where nobody waits.
    """
    _let_go(thing, now)
    line = line_for([thing], now)
    if not line.standbys or is_stopped(thing):
        return
    window = now, max(each.until_at for each in line.standbys)
    busy = list(busy_in([thing], window).get(thing.pk, []))
    hours = hours_of(thing, window)
    free = free_slots(busy, hours, turnaround_of(thing), window)
    while opening := next_opening(line, thing, free, now):
        if _hold(opening, now):
            busy.append(opening.span)
            free = free_slots(busy, hours, turnaround_of(thing), window)
        line = line.without(opening.standby)


def lapse_offers(thing: Thing, now: datetime) -> None:
    """Let go of the offers of a thing that ran out, and offer their time to the next in line.

    Called, with the thing locked, before anybody asks whether some time is free. One query where
    nothing ran out; twice does no harm.
    """
    if _let_go(thing, now):
        offer_openings(thing, now)


def offer_over(things: Sequence[Thing], now: datetime) -> None:
    """Offer what is free on things of one co-op, all of them locked, the earliest time first.

    A fixed number of queries, and as many again for each place in line that is served.
    """
    line = line_for(things, now)
    while openings := openings_on(things, line, now):
        soonest = min(openings, key=lambda opening: (opening.span[0], opening.thing.pk))
        offer_openings(soonest.thing, now)
        left = line_for(things, now)
        if len(left.standbys) == len(line.standbys):
            return
        line = left


def openings_on(things: Sequence[Thing], line: Line, now: datetime) -> list[Opening]:
    """What could be offered on things of one co-op to those in line for them; nothing is locked.

    Three queries, whatever the number of things.
    """
    if not line.standbys:
        return []
    stopped = set(
        Fault.objects.filter(
            thing__in=things, stops=Fault.Stops.BOOKINGS, mended_at=None
        ).values_list("thing_id", flat=True)
    )
    lent = [each for each in things if not each.retired_at and each.pk not in stopped]
    free = free_in(lent, (now, max(each.until_at for each in line.standbys)))
    found = (next_opening(line, thing, free[thing.pk], now) for thing in lent)
    return [opening for opening in found if opening]


def is_stopped(thing: Thing) -> bool:
    """Whether a thing is out of order or retired, so that nobody can book it."""
    faults = Fault.objects.filter(thing=thing, stops=Fault.Stops.BOOKINGS, mended_at=None)
    return thing.retired_at is not None or faults.exists()


def _hold(opening: Opening, now: datetime) -> bool:
    """Hold the time for a place in line and tell its household; False where the place is gone.

    Locking the place keeps two things that open at once from both being offered to it. Where
    somebody else has it locked it is passed over, so that two who offer to several never wait for
    each other; what is then left is offered within a minute.
    """
    standby, thing, (start, end) = opening.standby, opening.thing, opening.span
    waits = Standby.objects.select_for_update(no_key=True, skip_locked=True).filter(
        pk=standby.pk, ended_at=None
    )
    if not waits.first() or standby.bookings.filter(cancelled_at=None).exists():
        return False
    offer = Booking.objects.create(
        coop_id=thing.coop_id,
        thing=thing,
        household=standby.household,
        starts_at=start,
        ends_at=end,
        expected_at=_expected(thing, start, end),
        turnaround_minutes=thing.turnaround_minutes,
        free_at=end + turnaround_of(thing),
        purpose=standby.purpose,
        at=now,
        by=standby.by,
        held_until=min(now + TIME_TO_TAKE, start),
        standby=standby,
    )
    touch_bookings([offer])
    _tell_offered(offer)
    return True


def _expected(thing: Thing, start: datetime, end: datetime) -> datetime | None:
    """The likely end of what ends by itself."""
    if not KINDS[thing.kind].ends_by_itself:
        return None
    return min(end, start + timedelta(hours=CYCLE_EXPECTED_HOURS))


def _tell_offered(offer: Booking) -> None:
    coop, thing = offer.thing.coop, offer.thing
    said = span_said(offer.starts_at, offer.ends_at, coop)
    until = moment_said(offer.held_until or offer.starts_at, coop)
    record_change(
        offer, f"Offered to {offer.household}, first in line, until {until}.", coop=coop, by=None
    )
    tell(
        offer.household,
        Told.What.OFFERED,
        thing,
        f"{name_of(thing)} is yours if you take it by {until}: {said}.",
        booking=offer,
    )


def _let_go(thing: Thing, now: datetime) -> bool:
    """Cancel the offers of a thing that ran out; whether there were any."""
    ran_out = list(
        Booking.objects.filter(thing=thing, cancelled_at=None, held_until__lte=now).select_related(
            "standby", "household"
        )
    )
    stopped = bool(ran_out) and is_stopped(thing)
    for offer in ran_out:
        _lapse(offer, thing, now, keep_place=stopped)
    return bool(ran_out)


def _lapse(offer: Booking, thing: Thing, now: datetime, *, keep_place: bool) -> None:
    """An offer ran out. Who had all the time to take it and did not is no longer in line.

    Who was given less, because the time itself came first, stays, and so does who could not take
    it because the thing was out of order.
    """
    offer.cancelled_at, offer.cancel_why = now, RAN_OUT
    offer.save(update_fields=["cancelled_at", "cancel_why"])
    had_time = offer.held_until is not None and offer.held_until - offer.at >= TIME_TO_TAKE
    ends = had_time and not keep_place
    if ends:
        Standby.objects.filter(bookings=offer, ended_at=None).update(ended_at=now)
    touch_bookings([offer])
    lay_to_rest([offer], now)
    record_change(offer, RAN_OUT, coop=thing.coop, by=None)
    place = (
        "You are no longer in line; stand by again if you still want it."
        if ends
        else "You are still in line."
    )
    said = span_said(offer.starts_at, offer.ends_at, thing.coop)
    tell(
        offer.household,
        Told.What.LAPSED,
        thing,
        f"Your offer of {name_of(thing)}, {said}, ran out. {place}",
        booking=offer,
    )
