"""Handing a thing out, and taking it back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.utils import timezone

from coop.equipment import rights
from coop.equipment.actions import money, ready
from coop.equipment.actions.changing import cut_short
from coop.equipment.actions.consequences import open_faults
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import lapse_offers, offer_openings
from coop.equipment.actions.photos import save_photo
from coop.equipment.actions.telling import lay_to_rest
from coop.equipment.errors import Refused
from coop.equipment.models import Booking, CountedPart, Fault, Handover
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.pictures import Picture, read_picture
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.handovers import next_for_it, parts_expected
from coop.equipment.words import moment_said
from coop.money.models import Entry
from coop.people.changes import record_change
from coop.people.models import Member
from coop.people.rights import require

What, Condition = Handover.What, Handover.Condition
MINUTE = timedelta(minutes=1)
#: A thing may go out worn, or not clean for whoever takes it so; a damaged one stays.
GOES_OUT = (Condition.GOOD, Condition.WORN, Condition.NOT_CLEAN)


@dataclass(frozen=True, kw_only=True)
class Found:
    """How a thing was found at a handover.

    `counted`: how many of each part, by its name; every part must be in it. `photo`: what was sent,
    or nothing.
    """

    condition: str = Condition.GOOD
    counted: Mapping[str, int] = field(default_factory=dict)
    note: str = ""
    photo: Any = None


@dataclass(frozen=True, kw_only=True)
class FoundBack(Found):
    """How it came back. `reading_tenths`: what its kind says to read off it; `uses`: loads run."""

    bumped: bool
    reading_tenths: int | None = None
    uses: int = 0


@dataclass(frozen=True)
class Return:
    """What a return led to."""

    handover: Handover
    faults: list[Fault]
    fee: Entry | None = None
    deposit_back: Entry | None = None


def hand_out(
    booking_id: int,
    found: Found,
    *,
    by: Member,
    once: UUID | None = None,
    now: datetime | None = None,
) -> Handover:
    """The thing of a booking goes out. Its deposit is held; early, the booking begins now.

    Raises NotAllowed, AlreadyWritten (of two at once one wins), StillOut, NotFit, TooLate, Refused,
    and before its time Taken, TooLong, OutsideHours; Http404.
    """
    now = now or timezone.now()
    picture = _picture(found)
    with one_act():
        booking = _lock(booking_id, by)
        lapse_offers(booking.thing, now)
        require(rights.can_hand_over(by, booking), rights.FOR_EITHER_SIDE)
        ready.require_can_go(booking, now)
        if found.condition not in GOES_OUT:
            raise Refused(
                "A damaged thing does not go out. Report what is wrong with it instead.",
                field="condition",
            )
        if ready.goes_early(booking, now):
            _begin(booking, by, now)
        out = Handover(booking=booking, what=What.OUT, condition=found.condition, at=now, by=by)
        _write(out, found, picture)
        touch_bookings([booking])
        lay_to_rest([booking], now)
        open_faults(booking.thing, out, by=by)
        money.hold_deposit(booking, by=by, once=once)
        return out


def hand_back(
    booking_id: int,
    found: FoundBack,
    *,
    by: Member,
    once: UUID | None = None,
    now: datetime | None = None,
) -> Return:
    """The thing of a booking comes back, by either side or by who has it next.

    What is wrong stops its bookings or its next handover. Before its end the booking is shortened
    to now, and that time is offered; after it, it stays as it was. The fee is charged on what was
    booked or on what was had, whichever ended later. A deposit is given back at once where nothing
    was wrong; else a keeper does.

    Raises NotAllowed, AlreadyWritten (of two at once one wins), TooLate, Refused; Http404.
    """
    now = now or timezone.now()
    picture = _picture(found)
    with one_act():
        booking = _lock(booking_id, by)
        thing, until = booking.thing, max(booking.ends_at, now)
        may = rights.can_take_back(by, booking, next_for_it(thing, now))
        require(may, rights.FOR_EITHER_SIDE)
        ready.require_is_out(booking)
        back = Handover(
            booking=booking,
            what=What.BACK,
            condition=found.condition,
            bumped=found.bumped,
            reading_tenths=found.reading_tenths,
            uses=found.uses,
            at=now,
            by=by,
        )
        _write(back, found, picture)
        touch_bookings([booking])
        lay_to_rest([booking], now)
        _end(booking, by, now)
        faults = open_faults(thing, back, by=by)
        offer_openings(thing, now)  # before the books: places in line are locked before them
        fee = money.charge_fee(booking, until, by=by, once=once)
        deposit_back = None if faults else money.give_deposit_back(booking, by=by)
        return Return(back, faults, fee, deposit_back)


# ---- steps of both --------------------------------------------------------------------------
def _picture(found: Found) -> Picture | None:
    """The photo read before anything is locked: it may take a while."""
    return read_picture(found.photo) if found.photo else None


def _lock(booking_id: int, by: Member) -> Booking:
    """Lock the thing of a booking, and read the booking again."""
    thing = lock_thing(by.coop, booking_for(by, booking_id).thing_id)
    booking = booking_for(by, booking_id)
    booking.thing = thing
    return booking


def _write(handover: Handover, found: Found, picture: Picture | None) -> None:
    """Save a handover with its parts and its photo."""
    handover.note = found.note.strip()
    expected = parts_expected(handover.booking, handover.what)
    if uncounted := [name for name in expected if name not in found.counted]:
        raise Refused(f"Count every part. Not counted yet: {', '.join(uncounted)}.")
    handover.save(force_insert=True)
    CountedPart.objects.bulk_create(
        CountedPart(handover=handover, name=name, expected=count, counted=found.counted[name])
        for name, count in expected.items()
    )
    if picture:
        save_photo(picture, handover.booking.thing, by=handover.by, handover=handover)


def _begin(booking: Booking, by: Member, now: datetime) -> None:
    """The booking begins now instead of later: nobody else has the thing until then."""
    before = booking.starts_at
    booking.starts_at = now
    booking.save(update_fields=["starts_at"])
    _record(booking, "Taken early, booked from", before, now, by=by)


def _end(booking: Booking, by: Member, now: datetime) -> None:
    """Before its end, the booking ends now, to the minute, so that its time can be had again."""
    before = booking.ends_at
    ends_at = max(now.replace(second=0, microsecond=0), booking.starts_at + MINUTE)
    if ends_at < before:
        cut_short(booking, ends_at)
        _record(booking, "Back early, booked until", before, ends_at, by=by)


def _record(
    booking: Booking, sentence: str, before: datetime, after: datetime, *, by: Member
) -> None:
    coop = booking.coop
    record_change(
        booking,
        f"{sentence} {moment_said(after, coop)} instead of {moment_said(before, coop)}.",
        coop=coop,
        by=by,
        before={"at": before.isoformat()},
        after={"at": after.isoformat()},
    )
