"""Writing what belongs to a buy into the books: the entry, and whose buy it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from coop.buying.models import Buy, BuyPayment, Charge, Farm, Line, SpareClaim
from coop.money.actions.accounts import open_household_account
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Account, Entry
from coop.people.models import Coop, Household, Member

LONGEST_TITLE = 120


@dataclass(frozen=True)
class Posted:
    """A charge as it is to be written: `cents` is what it comes to in all."""

    what: Charge.What
    kind: Entry.Kind
    title: str
    cents: int
    flows: Iterable[Flow]
    basis: str = ""
    note: str = ""
    line: Line | None = None
    claim: SpareClaim | None = None


def post_charge(buy: Buy, posted: Posted, *, by: Member, once: UUID | None = None) -> Charge:
    """Write a charge with its entry. The caller holds the lock of the buy and a transaction."""
    entry = post_entry(
        buy.coop,
        posted.kind,
        posted.flows,
        title=f"{buy.title}: {posted.title}",
        by=by,
        reference=costs_reference(buy),
        note=posted.note,
        once=once,
    )
    return Charge.objects.create(
        buy=buy,
        line=posted.line,
        what=posted.what,
        title=posted.title[:LONGEST_TITLE],
        cents=posted.cents,
        basis=posted.basis,
        claim=posted.claim,
        entry=entry,
    )


def post_payment(  # noqa: PLR0913 - who, what and why of one row
    buy: Buy,
    kind: Entry.Kind,
    flow: Flow,
    *,
    title: str,
    by: Member,
    farm: Farm | None = None,
    household: Household | None = None,
    taken_by: Member | None = None,
    note: str = "",
    once: UUID | None = None,
) -> BuyPayment:
    """Write money that changed hands for a buy. The caller holds its lock and a transaction."""
    entry = post_entry(
        buy.coop,
        kind,
        [flow],
        title=title,
        by=by,
        reference=costs_reference(buy),
        note=note,
        once=once,
    )
    return BuyPayment.objects.create(
        buy=buy, entry=entry, farm=farm, household=household, taken_by=taken_by, cents=flow.cents
    )


def costs_reference(buy: Buy) -> str:
    """The address of the buy's costs inside its co-op, as entries refer to it."""
    return f"buys/{buy.pk}/costs/"


def account_of(household: Household) -> Account:
    """The account of a household."""
    return open_household_account(household)


def accounts_of(coop: Coop, household_ids: Iterable[int]) -> dict[int, Account]:
    """The accounts of some households of a co-op, by household id."""
    found = Account.objects.filter(coop=coop, household__in=list(household_ids))
    return {account.household_id: account for account in found if account.household_id}
