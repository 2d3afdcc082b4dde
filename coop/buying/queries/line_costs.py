"""What the produce of each line has cost each account, as the books stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Sum

from coop.buying.models import Buy, Charge, SpareClaim
from coop.buying.queries.shares import amounts_got
from coop.buying.queries.tally import LineCame, lines_came
from coop.money.models import Account, Movement

#: Charges that move the cost of a line's produce about.
PRODUCE_KINDS = (
    Charge.What.PRODUCE,
    Charge.What.CLAIM,
    Charge.What.CREDIT,
    Charge.What.UNCLAIMED,
)


@dataclass(frozen=True)
class LineCost:
    """A line that is charged: who has how much of it, and what that cost them.

    `got` is by household, as far as it is charged. `unclaimed` base steps lie on the spare table as
    nobody's. `cents` is by account: above zero it bore a cost, a farm stands below zero.
    """

    came: LineCame
    got: Mapping[int, int]
    unclaimed: int
    cents: Mapping[int, int]

    def cents_of(self, account: Account) -> int:
        """What the line cost this account."""
        return self.cents.get(account.pk, 0)


def line_costs(buy: Buy) -> dict[int, LineCost]:
    """Every line of a buy whose produce is charged, by its id; in a fixed number of queries."""
    cents = _cents_by_line(buy)
    got = amounts_got(buy)
    _undo(got, claims_to_charge(buy))
    return {
        came.line.pk: LineCost(
            came=came,
            got=got.get(came.line.pk, {}),
            unclaimed=came.usable - sum(got.get(came.line.pk, {}).values()),
            cents=cents[came.line.pk],
        )
        for came in lines_came(buy)
        if came.line.pk in cents
    }


def _cents_by_line(buy: Buy) -> dict[int, dict[int, int]]:
    sums = (
        Movement.objects.filter(
            entry__charge__buy=buy,
            entry__charge__what__in=PRODUCE_KINDS,
            entry__charge__reversed_at__isnull=True,
        )
        .order_by()
        .values_list("entry__charge__line_id", "source_id", "target_id")
        .annotate(cents=Sum("cents"))
    )
    by_line: defaultdict[int, defaultdict[int, int]] = defaultdict(lambda: defaultdict(int))
    for line_id, source_id, target_id, cents in sums:
        by_line[line_id][source_id] -= cents
        by_line[line_id][target_id] += cents
    return {line_id: dict(cents) for line_id, cents in by_line.items()}


def claims_to_charge(buy: Buy) -> list[SpareClaim]:
    """Claims whose charge was reversed and not made again since, oldest first.

    A claim is charged when it is made, or with the produce if that comes later.
    """
    produce: dict[int | None, int] = {}
    latest: dict[int, Charge] = {}
    charges = buy.charges.filter(what__in=(Charge.What.PRODUCE, Charge.What.CLAIM)).order_by("pk")
    for charge in charges:
        if charge.what == Charge.What.PRODUCE and not charge.reversed_at:
            produce[charge.line_id] = charge.pk
        elif charge.claim_id:
            latest[charge.claim_id] = charge
    waiting = [
        claim_id
        for claim_id, charge in latest.items()
        if charge.reversed_at and charge.pk > produce.get(charge.line_id, charge.pk)
    ]
    return list(
        SpareClaim.objects.filter(pk__in=waiting)
        .select_related("household", "spare__share", "spare__division__line")
        .order_by("pk")
    )


def _undo(got: dict[int, dict[int, int]], claims: list[SpareClaim]) -> None:
    """Take claims that are not charged out of the amounts."""
    for claim in claims:
        amounts = got[claim.spare.division.line_id]
        amounts[claim.household_id] -= claim.amount
        if claim.spare.share:
            amounts[claim.spare.share.household_id] += claim.amount
