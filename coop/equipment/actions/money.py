"""What lending a thing moves in the books: a deposit held and given back, and a fee for its use.

Value flows from the account that gives to the one that receives, and a balance is what was given
less what was received (coop/money). So:

- a deposit held flows from the till to the household: the household owes it to the till until it
  has paid it in, by whatever way it pays its other debts;
- given back, it flows from the household to the till: the debt is gone, or, where it was paid in,
  the till now owes it to the household;
- what is kept of it is given back with the rest, and then flows to the household from whoever
  bears the damage: the owner, who is thereby owed it, or the till where the thing is the co-op's.
  Both in one entry, so that a statement shows the deposit whole and what was kept beside it; it
  comes to the same as giving back less, with the owner and the till square between them;
- a fee flows from the owner, or the till, to the household.

Whoever borrows its own thing pays neither. Every act here stands behind the lock of the thing, and
then that of the books.
"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from coop.core.figures import money
from coop.equipment import rights
from coop.equipment.actions.locks import lock_thing
from coop.equipment.errors import AlreadyWritten, Refused
from coop.equipment.models import Booking
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.costs import (
    KEEP_WITHIN,
    back_at,
    fee_of,
    held_cents,
    is_lent,
    may_settle,
    too_late_to_keep,
)
from coop.equipment.words import length_said, minutes_between, name_of
from coop.money.actions.accounts import open_household_account, open_till
from coop.money.actions.entries import Flow, lock_books, post_entry
from coop.money.models import Account, Entry
from coop.people.changes import record_change
from coop.people.models import Member
from coop.people.rights import require


def hold_deposit(booking: Booking, *, by: Member, once: UUID | None = None) -> Entry | None:
    """Hold the deposit of a thing that goes out, where it has one; with the thing locked."""
    cents = booking.thing.deposit_cents
    if not cents or not is_lent(booking):
        return None
    entry = post_entry(
        booking.coop,
        Entry.Kind.DEPOSIT,
        [Flow(open_till(booking.coop), open_household_account(booking.household), cents)],
        title=f"Deposit for {name_of(booking.thing)}",
        by=by,
        reference=reference_to(booking),
        once=once,
    )
    Booking.objects.filter(pk=booking.pk).update(deposit_entry=entry)
    booking.deposit_entry = entry
    return entry


def charge_fee(
    booking: Booking,
    until: datetime,
    *,
    by: Member,
    once: UUID | None = None,
) -> Entry | None:
    """Charge the fee of a thing that came back, for the time from its start `until`.

    None where there is no fee, or it was charged before. With the thing locked.
    """
    cents = fee_of(booking.thing, booking.household, booking.starts_at, until)
    if not cents or booking.fee_entry_id:
        return None
    minutes = minutes_between(booking.starts_at, until)
    entry = post_entry(
        booking.coop,
        Entry.Kind.FEE,
        [Flow(_bearer(booking), open_household_account(booking.household), cents)],
        title=f"Use of {name_of(booking.thing)}",
        note=f"{length_said(minutes)}, {fee_said(booking)}",
        by=by,
        reference=reference_to(booking),
        once=once,
    )
    Booking.objects.filter(pk=booking.pk).update(fee_entry=entry)
    booking.fee_entry = entry
    return entry


def settle_deposit(
    booking_id: int,
    kept_cents: int,
    why: str,
    *,
    by: Member,
    once: UUID | None = None,
    now: datetime | None = None,
) -> Entry:
    """Give a deposit back after the return, less what is kept of it, with a reason.

    Raises NotAllowed; AlreadyWritten where nothing is held any more: of two at once one wins;
    Refused before the return, for keeping more than is held, without a reason, or too late.
    """
    now = now or timezone.now()
    found = booking_for(by, booking_id)
    with transaction.atomic():
        lock_thing(by.coop, found.thing_id)
        lock_books(by.coop_id)
        booking = booking_for(by, booking_id)
        require(may_settle(by, booking, now), rights.FOR_DEPOSITS)
        held = held_cents(booking)
        if not held:
            raise AlreadyWritten("No deposit is held for this booking any more.")
        if back_at(booking) is None:
            raise Refused("It is given back when the thing is back.")
        is_over = too_late_to_keep(booking, now)
        _refuse_keeping(booking, kept_cents, why, held=held, is_over=is_over)
        return _give_back(booking, held, kept_cents, why.strip(), by=by, once=once)


def give_deposit_back(booking: Booking, *, by: Member) -> Entry | None:
    """Give back all that is held, if anything, on a return without a fault; the thing is locked."""
    lock_books(booking.coop_id)
    held = held_cents(booking)
    return _give_back(booking, held, 0, "", by=by) if held else None


def _give_back(
    booking: Booking,
    held: int,
    kept_cents: int,
    why: str,
    *,
    by: Member,
    once: UUID | None = None,
) -> Entry:
    household = open_household_account(booking.household)
    entry = post_entry(
        booking.coop,
        Entry.Kind.DEPOSIT_BACK,
        [
            Flow(household, open_till(booking.coop), held, "deposit given back"),
            Flow(_bearer(booking), household, kept_cents, f"kept of the deposit: {why}"),
        ],
        title=f"Deposit for {name_of(booking.thing)} given back",
        note=why,
        by=by,
        reference=reference_to(booking),
        once=once,
    )
    Booking.objects.filter(pk=booking.pk).update(deposit_back_entry=entry)
    booking.deposit_back_entry = entry
    kept = f", {money(kept_cents, booking.coop.currency)} of it kept: {why}" if kept_cents else ""
    record_change(booking, f"Deposit given back{kept}.", coop=booking.coop, by=by)
    return entry


def reference_to(booking: Booking) -> str:
    """The address, inside the co-op, of what an entry is about."""
    return f"equipment/bookings/{booking.pk}/"


def fee_said(booking: Booking) -> str:
    """The fee of a thing: $5.00 a use."""
    thing = booking.thing
    return f"{money(thing.fee_cents, booking.coop.currency)} {thing.get_fee_per_display()}"


def _bearer(booking: Booking) -> Account:
    """Who gives the use of a thing, and bears its damage: its owner, or the till."""
    owner = booking.thing.owner
    return open_household_account(owner) if owner else open_till(booking.coop)


def _refuse_keeping(
    booking: Booking, kept_cents: int, why: str, *, held: int, is_over: bool
) -> None:
    if kept_cents < 0 or kept_cents > held:
        most = money(held, booking.coop.currency)
        raise Refused(f"Only {most} is held: keep nothing, or up to that.", field="kept_cents")
    if kept_cents and is_over:
        raise Refused(
            f"It came back over {KEEP_WITHIN.days} days ago: the deposit is given back whole.",
            field="kept_cents",
        )
    if kept_cents and not why.strip():
        raise Refused("Say why some of it is kept, for the household to read.", field="why")
