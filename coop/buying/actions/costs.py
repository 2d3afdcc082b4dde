"""Sharing the other costs of a buy: fuel, kitchen, propane, lids."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from coop.buying import rights
from coop.buying.actions.books import Posted, accounts_of, post_charge
from coop.buying.actions.squared import reopen
from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused, TooLate
from coop.buying.models import Buy, Charge
from coop.buying.queries.bases import SharedCost, share_cost
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.produce_costs import digest
from coop.buying.words import BASES
from coop.core.figures import money
from coop.money.actions.entries import Flow
from coop.money.models import Account, Entry
from coop.people.changes import record_change
from coop.people.models import Member

#: What can be shared so; the other charges have acts of their own.
SHARED = (
    Charge.What.FUEL,
    Charge.What.KITCHEN,
    Charge.What.PROPANE,
    Charge.What.LIDS,
    Charge.What.OTHER,
)


@dataclass(frozen=True)
class Cost:
    """A cost to share: what it is, cents above zero, on which basis, and which account paid it."""

    what: Charge.What
    title: str
    cents: int
    basis: Buy.Basis
    payer: Account
    note: str = ""


def basis_of(buy: Buy, what: Charge.What) -> Buy.Basis:
    """The basis that the buy stated for this kind of cost before anybody asked."""
    return Buy.Basis(buy.fuel_basis if what == Charge.What.FUEL else buy.other_basis)


def preview_cost(buy: Buy, cost: Cost) -> SharedCost:
    """What each household would pay. Raises Refused."""
    if cost.what not in SHARED:
        raise Refused("That kind of cost is not shared like this.", field="what")
    if cost.cents <= 0:
        raise Refused("Say how much, above zero.", field="cents")
    if cost.payer.kind not in {Account.Kind.TILL, Account.Kind.HOUSEHOLD}:
        raise Refused("The till paid it, or a household.", field="payer")
    return share_cost(buy, cost.cents, cost.basis)


def digest_of_cost(shared: SharedCost) -> str:
    """A name for these figures: what was looked at is what is charged, or nothing is."""
    return digest(sorted(shared.cents_by_household.items()))


def add_charge(
    buy: Buy, cost: Cost, *, by: Member, seen: str = "", once: UUID | None = None
) -> Charge:
    """Share a cost among the households that got something, to the cent.

    A buy that is squared up already is open again. `seen` is the digest of the preview that the
    member looked at. Raises NotAllowed, Refused, WrongStage, TooLate, AlreadyEntered.
    """
    rights.require(rights.can_charge(by, buy), rights.CHARGES_ARE_KEPT)
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        require_stage(buy, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)
        shared = preview_cost(buy, cost)
        if seen and seen != digest_of_cost(shared):
            raise TooLate(
                "What each household got has changed since you looked. Nothing was charged. Look "
                "at the figures again."
            )
        charge = post_charge(buy, _posted(buy, cost, shared), by=by, once=once)
        record_change(
            buy,
            f"{cost.title}: {money(cost.cents, buy.coop.currency)}, paid by {cost.payer.in_words}, "
            f"shared {BASES[cost.basis]}",
            coop=buy.coop,
            by=by,
            after={"charge": charge.pk, "cents": shared.cents_by_household},
        )
        reopen(buy, f"{cost.title} was charged after the buy was squared up", by=by)
        return charge


def _posted(buy: Buy, cost: Cost, shared: SharedCost) -> Posted:
    households = accounts_of(buy.coop, shared.cents_by_household)
    flows = [Flow(cost.payer, buy.account, cost.cents, f"{cost.title}, paid")]
    flows += [
        Flow(buy.account, households[household], cents, f"{cost.title}, {cost.basis.label}")
        for household, cents in shared.cents_by_household.items()
    ]
    return Posted(
        what=cost.what,
        kind=Entry.Kind.COST,
        title=cost.title,
        cents=cost.cents,
        flows=flows,
        basis=cost.basis,
        note=cost.note,
    )
