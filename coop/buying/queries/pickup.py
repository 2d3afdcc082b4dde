"""Who comes for what, and what is still there."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import QuerySet

from coop.buying.models import Buy, BuyPayment, Line, Share, SpareClaim
from coop.money.models import Account
from coop.money.queries.balances import balances_in
from coop.money.queries.rounds import marked_paid_cents
from coop.people.models import Household


@dataclass(frozen=True)
class Parcel:
    """One thing to hand over: a share, or what was claimed from the spare table."""

    line: Line
    amount: int
    fetched_at: datetime | None
    share: Share | None = None
    claim: SpareClaim | None = None

    @property
    def is_released(self) -> bool:
        """Whether it is on the spare table by now, so that there is nothing to hand over."""
        return bool(self.share and self.share.released_at)

    @property
    def is_waiting(self) -> bool:
        """Whether it is still to be fetched."""
        return self.fetched_at is None and not self.is_released


@dataclass
class Pickup:
    """All that one household is to fetch of a buy, what it owes by the books, what it paid.

    `paid` is the cash that was taken for this buy. `said_paid_cents` is what it marked as paid in
    an open round, where nobody confirmed it yet: that is on its way, and still owed by the books.
    """

    household: Household
    balance_cents: int
    said_paid_cents: int = 0
    paid: tuple[BuyPayment, ...] = ()
    parcels: list[Parcel] = field(default_factory=list)

    @property
    def owes_cents(self) -> int:
        """What it owes by the books, or 0."""
        return max(0, -self.balance_cents)

    @property
    def on_its_way_cents(self) -> int:
        """The part of what it owes that it marked as paid, unconfirmed."""
        return min(self.owes_cents, self.said_paid_cents)

    @property
    def to_take_cents(self) -> int:
        """What is to be asked of it at the pickup: what it owes and has not marked as paid."""
        return self.owes_cents - self.on_its_way_cents

    @property
    def waiting(self) -> list[Parcel]:
        """What is still to be fetched."""
        return [parcel for parcel in self.parcels if parcel.is_waiting]

    @property
    def state(self) -> str:
        """`waiting`, `fetched` (all of it that is not released), `released` or `nothing`."""
        if self.waiting:
            return "waiting"
        if any(parcel.fetched_at for parcel in self.parcels):
            return "fetched"
        return "released" if self.parcels else "nothing"

    def amount_of(self, line: Line) -> int:
        """All that the household is to have of a line, fetched or not."""
        return sum(
            parcel.amount
            for parcel in self.parcels
            if parcel.line == line and not parcel.is_released
        )


def pickups_of(buy: Buy) -> list[Pickup]:
    """Every household with a share or a claim, by name. A fixed number of queries."""
    balances = {
        balance.account.household_id: balance.cents
        for balance in balances_in(buy.coop, Account.Kind.HOUSEHOLD)
    }
    paid = _paid(buy)
    said_paid = marked_paid_cents(buy.coop)
    pickups: dict[int, Pickup] = {}

    def of(owner: Household) -> Pickup:
        if owner.pk not in pickups:
            pickups[owner.pk] = Pickup(
                owner,
                balances.get(owner.pk, 0),
                said_paid_cents=said_paid.get(owner.pk, 0),
                paid=tuple(paid.get(owner.pk, ())),
            )
        return pickups[owner.pk]

    for share in _shares(buy):
        pickup = of(share.household)
        if share.amount:
            pickup.parcels.append(
                Parcel(share.division.line, share.amount, share.fetched_at, share=share)
            )
    for claim in _claims(buy):
        of(claim.household).parcels.append(
            Parcel(claim.spare.division.line, claim.amount, claim.fetched_at, claim=claim)
        )
    return sorted(pickups.values(), key=lambda each: (each.household.name, each.household.pk))


def _shares(buy: Buy) -> QuerySet[Share]:
    return (
        Share.objects.filter(division__line__buy=buy, division__withdrawn_at__isnull=True)
        .select_related("household", "division__line", "ticked_by")
        .order_by("division__line__position", "division__line_id", "pk")
    )


def _claims(buy: Buy) -> QuerySet[SpareClaim]:
    return (
        SpareClaim.objects.filter(
            spare__division__line__buy=buy, spare__division__withdrawn_at__isnull=True
        )
        .select_related("household", "spare__division__line")
        .order_by("at", "pk")
    )


def _paid(buy: Buy) -> dict[int, list[BuyPayment]]:
    """The cash of a buy by household, oldest first, without what was reversed."""
    paid: defaultdict[int, list[BuyPayment]] = defaultdict(list)
    taken = buy.payments.filter(
        household__isnull=False, taken_by__isnull=False, entry__reversed_by__isnull=True
    )
    for payment in taken.select_related("taken_by").order_by("pk"):
        if payment.household_id:
            paid[payment.household_id].append(payment)
    return dict(paid)


@dataclass(frozen=True)
class HandedOut:
    """How much of a line is fetched, waiting, and on the spare table."""

    line: Line
    fetched: int
    waiting: int
    released: int

    @property
    def due(self) -> int:
        """What is to be fetched in all, less what went to the spare table."""
        return self.fetched + self.waiting


def handed_out(pickups: list[Pickup]) -> list[HandedOut]:
    """The same figures by line."""
    sums: dict[Line, list[int]] = {}
    for pickup in pickups:
        for parcel in pickup.parcels:
            place = 0 if parcel.fetched_at else 2 if parcel.is_released else 1
            sums.setdefault(parcel.line, [0, 0, 0])[place] += parcel.amount
    return [HandedOut(line, *amounts) for line, amounts in sums.items()]


@dataclass(frozen=True)
class SheetRow:
    """One household on the paper sheet: its pickup, and its amount of each line in turn."""

    pickup: Pickup
    amounts: tuple[tuple[Line, int], ...]


def sheet_of(pickups: list[Pickup]) -> tuple[list[Line], list[SheetRow]]:
    """The lines of the sheet, and a row for each household that has anything to fetch."""
    lines = [each.line for each in handed_out(pickups)]
    rows = [
        SheetRow(pickup, tuple((line, pickup.amount_of(line)) for line in lines))
        for pickup in pickups
        if pickup.state in {"waiting", "fetched"}
    ]
    return lines, rows
