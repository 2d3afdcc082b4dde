"""Standing by for a thing, and answering what one is offered: take it, pass it on, leave the line.

Things are locked before places in line, here and everywhere, so that two who offer cannot wait for
each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F
from django.http import Http404
from django.utils import timezone

from coop.equipment.actions.locks import lock_thing, lock_things
from coop.equipment.actions.openings import (
    is_stopped,
    lapse_offers,
    offer_openings,
    offer_over,
)
from coop.equipment.actions.telling import lay_to_rest
from coop.equipment.errors import NotFit, Refused, TooLate, TooLong
from coop.equipment.models import Booking, Standby, Thing, Told
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.queries.free import HORIZON
from coop.equipment.queries.line import in_line
from coop.equipment.queries.standby import standby_for
from coop.equipment.queries.things import things_in
from coop.equipment.rights import require_act_for, require_change
from coop.equipment.words import kind_said, length_said, moment_said, name_of, span_said
from coop.people.changes import record_change
from coop.people.models import Household, Member

PASSED_ON, LEFT_THE_LINE = "Passed on.", "Left the line."
#: Each place holds something for up to half a day, so nobody takes up the whole line. Judgement,
#: no source.
MOST_PLACES = 8


@dataclass(frozen=True)
class Want:
    """What a household stands by for: any thing of a kind, or of a gauge, or one, in a window."""

    kind: str
    minutes: int
    from_at: datetime
    until_at: datetime
    thing_id: int | None = None
    gauge: str = ""
    purpose: str = ""


@one_act()
def stand_by(
    want: Want, household: Household, *, by: Member, now: datetime | None = None
) -> Standby:
    """Put a household in line, and offer it at once what is free. Twice the same is one place.

    The things are locked first: what opens meanwhile is either seen here, or sees this place.
    Raises Refused, TooLong, TooLate, NotAllowed; 404 for a thing that is not there.
    """
    now = now or timezone.now()
    require_act_for(by, household)
    things = _things_wanted(want, household)
    _require_sense(want, things, now)
    if same := _same_place(want, household, now):
        return same
    _require_room(household, now)
    place = Standby.objects.create(
        coop=household.coop,
        kind=want.kind,
        gauge=want.gauge,
        thing_id=want.thing_id,
        household=household,
        minutes=want.minutes,
        from_at=max(want.from_at, now),
        until_at=want.until_at,
        purpose=want.purpose,
        at=now,
        by=by,
    )
    offer_over(things, now)
    return place


def take(booking_id: int, *, by: Member, now: datetime | None = None) -> Booking:
    """Take what a household was offered: from now on it is a booking.

    Raises TooLate where it ran out, was passed on or is taken; NotFit for a thing that broke
    meanwhile; NotAllowed for another household's.
    """
    now = now or timezone.now()
    _let_lapse(booking_id, by, now)
    with one_act():
        offer, thing = _locked_offer(booking_id, by)
        if is_stopped(thing):
            raise NotFit(f"{thing} is out of order now. You keep your place in line.")
        offer.held_until = None
        offer.save(update_fields=["held_until"])
        Standby.objects.filter(bookings=offer, ended_at=None).update(ended_at=now)
        touch_bookings([offer])
        lay_to_rest([offer], now, [Told.What.OFFERED])
        record_change(offer, "Taken.", coop=thing.coop, by=by)
    return offer


def pass_on(booking_id: int, *, by: Member, now: datetime | None = None) -> Booking:
    """Pass on what a household was offered: the next in line is offered it.

    The household stays in line for other times. Raises as `take` does.
    """
    now = now or timezone.now()
    _let_lapse(booking_id, by, now)
    with one_act():
        offer, thing = _locked_offer(booking_id, by)
        _let_go(offer, by, PASSED_ON, now)
        offer_openings(thing, now)
    return offer


@one_act()
def end_standby(standby_id: int, *, by: Member, now: datetime | None = None) -> Standby:
    """Leave a place in line; what it is offered goes to the next. Twice does no harm.

    Raises TooLate where something is offered to it at this very moment, NotAllowed.
    """
    now = now or timezone.now()
    place = standby_for(by, standby_id)
    require_act_for(by, place.household)
    held = _held_for(place)
    thing = lock_thing(by.coop, held.thing_id) if held else None
    place = Standby.objects.select_for_update(no_key=True).get(pk=place.pk)
    offer = _held_for(place)
    if offer and (thing is None or offer.thing_id != thing.pk):
        raise TooLate("Something was offered to you just now. Look at it first.")
    if place.ended_at is None:
        place.ended_at = now
        place.save(update_fields=["ended_at"])
        record_change(place, LEFT_THE_LINE, coop=by.coop, by=by)
    if offer and thing:
        _let_go(offer, by, LEFT_THE_LINE, now)
        offer_openings(thing, now)
    return place


def end_passed(now: datetime) -> int:
    """End the places in line whose window has passed; how many. One in use waits for a minute."""
    passed = Standby.objects.filter(ended_at=None, until_at__lte=now)
    with transaction.atomic():
        free = passed.select_for_update(no_key=True, skip_locked=True).values_list("pk", flat=True)
        return Standby.objects.filter(pk__in=list(free)).update(ended_at=F("until_at"))


def _things_wanted(want: Want, household: Household) -> Sequence[Thing]:
    """The things that would do, locked, with hours."""
    things = things_in(household.coop, want.kind)
    if want.thing_id:
        things = things.filter(pk=want.thing_id)
    elif want.gauge:
        things = things.filter(gauge=want.gauge)
    keys = list(things.values_list("pk", flat=True))
    if want.thing_id and not keys:
        raise Http404
    lock_things(household.coop, keys)
    return list(things)


def _require_sense(want: Want, things: Sequence[Thing], now: datetime) -> None:
    """Raise Refused, TooLong or TooLate for a place that could never be offered anything."""
    length = timedelta(minutes=want.minutes)
    if not things:
        raise Refused(f"There is no such {kind_said(want.kind)} in the co-op.", field="what")
    if want.until_at - max(want.from_at, now) < length:
        raise Refused(
            f"Between then and then there is no room for {length_said(want.minutes)}. Choose a "
            "later end, or a shorter time.",
            field="until_at",
        )
    if want.until_at > now + HORIZON:
        raise Refused(f"Stand by for the next {HORIZON.days} days at most.", field="until_at")
    lent = [each.longest_minutes for each in things]
    most = None if None in lent else max(filter(None, lent))
    if most is not None and want.minutes > most:
        raise TooLong(f"It is lent for {length_said(most)} at most.", field="minutes")


def _require_room(household: Household, now: datetime) -> None:
    if household.left_at:
        raise Refused(f"{household} has left the co-op.")
    if in_line(now).filter(household=household).count() >= MOST_PLACES:
        raise Refused(f"You are in line {MOST_PLACES} times already. Leave another place first.")


def _same_place(want: Want, household: Household, now: datetime) -> Standby | None:
    """The place that a household has for just this, as after a button pressed twice."""
    same = in_line(now).filter(
        household=household,
        kind=want.kind,
        gauge=want.gauge,
        thing=want.thing_id,
        minutes=want.minutes,
        from_at__lte=max(want.from_at, now),
        until_at=want.until_at,
    )
    return same.first()


def _let_lapse(booking_id: int, by: Member, now: datetime) -> None:
    """What ran out is let go for good, also where the act that finds it out is refused."""
    with one_act():
        lapse_offers(_thing_of(booking_id, by), now)


def _thing_of(booking_id: int, by: Member) -> Thing:
    """The thing of an offer that a member may answer, locked."""
    booking = (
        Booking.objects.select_related("household").filter(coop=by.coop, pk=booking_id).first()
    )
    if booking is None:
        raise Http404
    require_change(by, booking)
    return lock_thing(by.coop, booking.thing_id)


def _locked_offer(booking_id: int, by: Member) -> tuple[Booking, Thing]:
    """An offer that stands, read again with its thing locked. Raises TooLate otherwise."""
    thing = _thing_of(booking_id, by)
    offer = Booking.objects.select_related("household", "coop", "standby", "thing").get(
        pk=booking_id
    )
    said = f"{name_of(thing)}, {span_said(offer.starts_at, offer.ends_at, thing.coop)}"
    if offer.cancelled_at:
        at = moment_said(offer.cancelled_at, thing.coop)
        raise TooLate(f"The offer of {said} is gone since {at}: {offer.cancel_why}")
    if offer.held_until is None:
        raise TooLate(f"{said} is booked already: there is nothing to take or pass on.")
    return offer, thing


def _held_for(place: Standby) -> Booking | None:
    """What a place is offered now."""
    return place.bookings.filter(held_until__isnull=False, cancelled_at=None).first()


def _let_go(offer: Booking, by: Member, why: str, now: datetime) -> None:
    offer.cancelled_at, offer.cancelled_by, offer.cancel_why = now, by, why
    offer.save(update_fields=["cancelled_at", "cancelled_by", "cancel_why"])
    touch_bookings([offer])
    lay_to_rest([offer], now)
    record_change(offer, why, coop=offer.coop, by=by)
