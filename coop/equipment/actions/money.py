"""What lending a thing moves in the books: a deposit held and given back, and a fee for its use.

Value flows from the account that gives to the one that receives, and a balance is what was given
less what was received (coop/money). So:

- a deposit held flows from the till to the household: the household owes it to the till until it
  has paid it in, by whatever way it pays its other debts;
- given back, it flows from the household to the till: the debt is gone, or, where it was paid in,
  the till now owes it to the household;
- what is kept of it is given back with the rest, and then flows to the household from whoever
  bears the damage: the owner, who is thereby owed it, or the till where the thing is the co-op's.
  That is a fee, an entry of its own written with the other, so that a statement shows the deposit
  whole and what was kept below it; it comes to the same as giving back less, with the owner and the
  till square between them;
- a fee flows from the owner, or the till, to the household.

Whoever borrows its own thing pays neither. Every act here stands behind the lock of the thing, and
then that of the books.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils import timezone
from django.utils.text import Truncator

from coop.core.figures import money
from coop.equipment import rights
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.telling import tell
from coop.equipment.errors import AlreadyWritten, Refused
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.notices.touched import one_act
from coop.equipment.queries.bookings import booking_for
from coop.equipment.queries.costs import (
    KEEP_WITHIN,
    back_at,
    fee_of,
    held_cents,
    is_lent,
    may_settle,
    reference_to,
    too_late_to_keep,
)
from coop.equipment.words import length_said, minutes_between, name_of
from coop.money.actions.accounts import open_household_account, open_till
from coop.money.actions.entries import Flow, post_entry
from coop.money.locks import lock_books
from coop.money.models import Account, Entry
from coop.people.changes import record_change
from coop.people.models import Household, Member
from coop.people.rights import require

#: Of a household's name in a title or note that says more: they have 200 and 400 in all.
MOST_OF_A_NAME = 50


@dataclass(frozen=True)
class Settled:
    """A deposit that was settled: the entry that gives it back, and that of what was kept."""

    back: Entry
    kept: Entry | None
    sentence: str


def hold_deposit(booking: Booking, *, by: Member, once: UUID | None = None) -> Entry | None:
    """Hold the deposit of a thing that goes out, where it has one; with the thing locked."""
    cents = booking.thing.deposit_cents
    if not cents or not is_lent(booking):
        return None
    entry = post_entry(
        booking.coop,
        Entry.Kind.DEPOSIT,
        [
            Flow(
                open_till(booking.coop),
                open_household_account(booking.household),
                cents,
                f"Deposit for {name_of(booking.thing)}",
            )
        ],
        title=_deposit_of(booking),
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
    use = f"Use of {name_of(booking.thing)}"
    entry = post_entry(
        booking.coop,
        Entry.Kind.FEE,
        [Flow(_bearer(booking), open_household_account(booking.household), cents, use)],
        title=f"{use} by {_short(booking.household)}",
        note=_charged_for(booking, minutes_between(booking.starts_at, until)),
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
) -> Settled:
    """Give a deposit back after the return, less what is kept of it, with a reason.

    Raises NotAllowed; AlreadyWritten where nothing is held any more: of two at once one wins;
    Refused before the return, for keeping more than is held, without a reason, or too late.
    """
    now = now or timezone.now()
    found = booking_for(by, booking_id)
    with one_act():
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
    return _give_back(booking, held, 0, "", by=by).back if held else None


def _give_back(
    booking: Booking,
    held: int,
    kept_cents: int,
    why: str,
    *,
    by: Member,
    once: UUID | None = None,
) -> Settled:
    said = _settled_said(booking, held, kept_cents, why)
    household = open_household_account(booking.household)
    what = f"Deposit for {name_of(booking.thing)} given back"
    back = post_entry(
        booking.coop,
        Entry.Kind.DEPOSIT_BACK,
        [Flow(household, open_till(booking.coop), held, what)],
        title=f"{_deposit_of(booking)} given back",
        note=said if kept_cents else "",
        by=by,
        reference=reference_to(booking),
        once=once,
    )
    Booking.objects.filter(pk=booking.pk).update(deposit_back_entry=back)
    booking.deposit_back_entry = back
    kept = _keep(booking, kept_cents, why, by=by) if kept_cents else None
    if kept:
        tell(booking.household, Told.What.CHANGED, booking.thing, said, booking=booking)
    record_change(booking, said, coop=booking.coop, by=by)
    return Settled(back, kept, said)


def _keep(booking: Booking, cents: int, why: str, *, by: Member) -> Entry:
    """Charge what is kept of a deposit, for whoever bears the damage."""
    what = f"Kept of the deposit for {name_of(booking.thing)}: {why}"
    return post_entry(
        booking.coop,
        Entry.Kind.FEE,
        [Flow(_bearer(booking), open_household_account(booking.household), cents, what)],
        title=f"Kept of the deposit of {_short(booking.household)} for {name_of(booking.thing)}",
        note=why,
        by=by,
        reference=reference_to(booking),
    )


# ---- in words -------------------------------------------------------------------------------
def fee_said(booking: Booking) -> str:
    """The fee of a thing: $5.00 a use."""
    thing = booking.thing
    return f"{money(thing.fee_cents, booking.coop.currency)} {thing.get_fee_per_display()}"


def _charged_for(booking: Booking, minutes: int) -> str:
    """What a fee is for; how long it was booked or had only where the fee grows with it."""
    if booking.thing.fee_per == Thing.FeePer.HOUR:
        return f"{length_said(minutes)}, {fee_said(booking)} begun"
    return fee_said(booking)


def _deposit_of(booking: Booking) -> str:
    return f"Deposit of {_short(booking.household)} for {name_of(booking.thing)}"


def _short(household: Household) -> str:
    """The name of a household, short enough for a title that says more."""
    return Truncator(household.name).chars(MOST_OF_A_NAME)


def _settled_said(booking: Booking, held: int, kept_cents: int, why: str) -> str:
    """Who gets how much back, and how much is kept for whom, and why."""
    currency, household = booking.coop.currency, _short(booking.household)
    if not kept_cents:
        return f"The deposit of {money(held, currency)} is given back to {household}."
    kept, whose = money(kept_cents, currency), _bearer(booking).in_words
    rest = held - kept_cents
    goes_back = f"{money(rest, currency)} goes back" if rest else "nothing goes back"
    return (
        f"Of the deposit of {money(held, currency)}, {goes_back} to {household}; {kept} is kept "
        f"for {Truncator(whose).chars(MOST_OF_A_NAME)}: {why}"
    )


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
