"""Who comes for what, and what is still there."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from coop.buying.models import Buy, Line, Share, SpareClaim
from coop.money.models import Account
from coop.money.queries.balances import balances_in
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
    """All that one household is to fetch of a buy, and what it owes by the books."""

    household: Household
    balance_cents: int
    parcels: list[Parcel] = field(default_factory=list)

    @property
    def owes_cents(self) -> int:
        """What it owes by the books, or 0."""
        return max(0, -self.balance_cents)

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


def pickups_of(buy: Buy, household: Household | None = None) -> list[Pickup]:
    """Every household with a share or a claim, by name; or that one alone. Three queries."""
    balances = {
        balance.account.household_id: balance.cents
        for balance in balances_in(buy.coop, Account.Kind.HOUSEHOLD)
    }
    pickups: dict[int, Pickup] = {}

    def of(owner: Household) -> Pickup:
        return pickups.setdefault(owner.pk, Pickup(owner, balances.get(owner.pk, 0)))

    for share in _shares(buy, household):
        pickup = of(share.household)
        if share.amount:
            pickup.parcels.append(
                Parcel(share.division.line, share.amount, share.fetched_at, share=share)
            )
    for claim in _claims(buy, household):
        of(claim.household).parcels.append(
            Parcel(claim.spare.division.line, claim.amount, claim.fetched_at, claim=claim)
        )
    return sorted(pickups.values(), key=lambda each: (each.household.name, each.household.pk))


def _shares(buy: Buy, household: Household | None) -> list[Share]:
    shares = Share.objects.filter(
        division__line__buy=buy, division__withdrawn_at__isnull=True
    ).select_related("household", "division__line", "ticked_by")
    if household:
        shares = shares.filter(household=household)
    return list(shares.order_by("division__line__position", "division__line_id", "pk"))


def _claims(buy: Buy, household: Household | None) -> list[SpareClaim]:
    claims = SpareClaim.objects.filter(
        spare__division__line__buy=buy, spare__division__withdrawn_at__isnull=True
    ).select_related("household", "spare__division__line")
    if household:
        claims = claims.filter(household=household)
    return list(claims.order_by("at", "pk"))


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
