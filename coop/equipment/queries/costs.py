"""What having a thing costs: before it is booked, and what a booking moved in the books."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, Q, QuerySet, Sum

from coop.core.use_fees import use_fee
from coop.equipment import rights
from coop.equipment.models import Booking, Handover, Thing
from coop.equipment.queries.bookings import handed, with_parties
from coop.equipment.words import minutes_between
from coop.money.models import Entry, Movement
from coop.money.rights import can_see_entry
from coop.people.models import Coop, Household, Member

#: How long after a return something of a deposit may be kept. Judgement, no source.
KEEP_WITHIN = timedelta(days=14)
ENTRIES = ("fee_entry", "deposit_entry", "deposit_back_entry")


@dataclass(frozen=True)
class Costs:
    """What a household would pay for a thing for some time, in cents; 0 and 0 for its own."""

    thing: Thing
    fee_cents: int = 0
    deposit_cents: int = 0

    @property
    def is_any(self) -> bool:
        """Whether it costs anything."""
        return bool(self.fee_cents or self.deposit_cents)

    @property
    def by_the_hour(self) -> bool:
        """Whether the fee grows with the time."""
        return self.thing.fee_per == Thing.FeePer.HOUR


def costs_before(thing: Thing, household: Household, start: datetime, end: datetime) -> Costs:
    """What a household would pay for a thing from `start` to `end`. No query."""
    if thing.owner_id == household.pk:
        return Costs(thing)
    return Costs(thing, fee_of(thing, household, start, end), thing.deposit_cents)


def fee_of(thing: Thing, household: Household, start: datetime, end: datetime) -> int:
    """The fee for a time, in cents: each hour that was started, or the use. None for one's own."""
    if thing.owner_id == household.pk or not thing.fee_cents:
        return 0
    # Whole minutes: who is back some seconds after the hour has not begun another.
    return use_fee(thing.fee_cents, thing.fee_per, max(1, minutes_between(start, end)))


def is_lent(booking: Booking) -> bool:
    """Whether the thing belongs to somebody else than who has it."""
    return booking.thing.owner_id != booking.household_id


def held_cents(booking: Booking) -> int:
    """What is held of a booking's deposit, by the books as they are now. One query.

    Nothing once it was given back; held again where that was reversed; nothing where the holding
    itself was reversed.
    """
    entries = Booking.objects.filter(
        pk=booking.pk, deposit_entry__isnull=False, deposit_entry__reversed_by=None
    ).exclude(_given_back())
    held = entries.aggregate(cents=Sum("deposit_entry__movements__cents"))
    return held["cents"] or 0


def reference_to(booking: Booking) -> str:
    """The address, inside the co-op, of what an entry is about."""
    return f"equipment/bookings/{booking.pk}/"


def kept_of(booking: Booking) -> Q:
    """A filter: the entries of what was kept of a booking's deposit, reversed ones among them.

    They are all the fees about it but the one for its use.
    """
    about = Q(coop=booking.coop_id, kind=Entry.Kind.FEE, reference=reference_to(booking))
    return about & ~Q(pk=booking.fee_entry_id) if booking.fee_entry_id else about


def back_at(booking: Booking) -> datetime | None:
    """When the thing of a booking came back. No query with its handovers at hand."""
    back = (each.at for each in booking.handovers.all() if each.what == Handover.What.BACK)
    return next(back, None)


def too_late_to_keep(booking: Booking, now: datetime) -> bool:
    """Whether the deposit can only be given back whole by now."""
    at = back_at(booking)
    return at is not None and now > at + KEEP_WITHIN


def may_settle(member: Member, booking: Booking, now: datetime) -> bool:
    """Who may give a deposit back; once nothing can be kept, the household that paid it too."""
    return rights.can_settle_deposit(member, booking) or (
        too_late_to_keep(booking, now) and rights.can_change(member, booking)
    )


def _given_back() -> Q:
    return Q(deposit_back_entry__isnull=False, deposit_back_entry__reversed_by=None)


def deposits_waiting(coop: Coop) -> QuerySet[Booking]:
    """The bookings whose thing is back and whose deposit waits for a keeper's yes. One query."""
    waiting = (
        Booking.objects.filter(
            handed(Handover.What.BACK),
            coop=coop,
            deposit_entry__isnull=False,
            deposit_entry__reversed_by=None,
        )
        .exclude(_given_back())
        .order_by("ends_at", "pk")
    )
    return with_parties(waiting)


@dataclass(frozen=True)
class Moved:
    """One entry of a booking, in cents.

    `can_open`: whether the member may see it in the books.
    """

    entry: Entry
    cents: int
    is_reversed: bool
    can_open: bool


@dataclass(frozen=True)
class BookingCosts:
    """What a booking moved, and what is still held of its deposit.

    `can_settle`: whether the member may give the deposit back now; `waits`: whether it waits for
    that; `can_keep_some`: whether something of it may still be kept.
    """

    moved: list[Moved]
    held_cents: int = 0
    can_settle: bool = False
    waits: bool = False
    can_keep_some: bool = True


def costs_for(member: Member, booking: Booking, now: datetime) -> BookingCosts | None:
    """What a booking moved in the books; None for whom it does not concern. Three queries."""
    if not rights.can_see_costs(member, booking):
        return None
    keys = [getattr(booking, f"{name}_id") for name in ENTRIES]
    movements = Movement.objects.select_related("source", "target").order_by("pk")
    entries = (
        Entry.objects.filter(Q(pk__in=[key for key in keys if key]) | kept_of(booking))
        .select_related("reversed_by")
        .prefetch_related(Prefetch("movements", queryset=movements))
        .order_by("pk")
    )
    held = held_cents(booking)
    waits = bool(held) and back_at(booking) is not None
    return BookingCosts(
        [_moved(member, entry) for entry in entries],
        held,
        can_settle=waits and may_settle(member, booking, now),
        waits=waits,
        can_keep_some=not too_late_to_keep(booking, now),
    )


def _moved(member: Member, entry: Entry) -> Moved:
    return Moved(
        entry,
        sum(movement.cents for movement in entry.movements.all()),
        is_reversed=hasattr(entry, "reversed_by"),
        can_open=can_see_entry(member, entry),
    )
