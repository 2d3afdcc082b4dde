"""What stands on the spare table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Prefetch, QuerySet, Sum
from django.http import Http404

from coop.buying.models import Buy, Line, Spare, SpareClaim
from coop.buying.queries.tally import LineCame, line_came, lines_of_came
from coop.people.models import Coop, Member

CLAIMABLE = (Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


@dataclass(frozen=True)
class OnTable:
    """One spare: what is left of it, who took some, and what a base step of it cost."""

    spare: Spare
    claims: Sequence[SpareClaim]
    came: LineCame

    @property
    def line(self) -> Line:
        """Which produce it is."""
        return self.spare.division.line

    @property
    def left(self) -> int:
        """What can still be claimed."""
        return self.spare.amount - sum(claim.amount for claim in self.claims)

    @property
    def why(self) -> str:
        """Where it comes from."""
        if self.spare.share:
            return f"not fetched by {self.spare.share.household}"
        if self.spare.division.surplus:
            return "more came than was asked"
        return "left over by the division"

    @property
    def left_cents(self) -> int:
        """About what all that is left would cost: its part of the farms' bill, rounded."""
        if not self.came.usable:
            return 0
        return round(Fraction(self.came.bill_cents * self.left, self.came.usable))


def spares_in(coop: Coop) -> QuerySet[Spare]:
    """What was put on the spare table and not withdrawn, with its line and buy, oldest first."""
    return (
        Spare.objects.filter(
            division__line__buy__coop=coop,
            division__withdrawn_at__isnull=True,
            withdrawn_at__isnull=True,
        )
        .select_related(
            "division__line__buy__coop", "division__line__buy__coordinator", "share__household"
        )
        .order_by("offered_at", "pk")
    )


def spare_table(coop: Coop, buy: Buy | None = None) -> list[OnTable]:
    """Everything on the table of buys that are not squared up yet; of one buy, if one is given."""
    claims = SpareClaim.objects.select_related("household").order_by("at", "pk")
    found = (
        spares_in(coop)
        .filter(division__line__buy__stage__in=CLAIMABLE)
        .prefetch_related(Prefetch("claims", queryset=claims))
    )
    spares = list(found.filter(division__line__buy=buy) if buy else found)
    came = lines_of_came({spare.division.line_id for spare in spares})
    return [
        OnTable(spare, list(spare.claims.all()), came[spare.division.line_id]) for spare in spares
    ]


def table_row(spare: Spare) -> OnTable:
    """One spare as the table shows it."""
    claims = list(spare.claims.select_related("household").order_by("at", "pk"))
    return OnTable(spare, claims, line_came(spare.division.line))


def spare_for(member: Member, spare_id: int) -> Spare:
    """A spare to claim from. Absent and another co-op's: 404."""
    spare = spares_in(member.coop).filter(pk=spare_id).first()
    if spare is None:
        raise Http404
    return spare


def remaining_of(spare: Spare) -> int:
    """What can still be claimed of a spare."""
    claimed = spare.claims.aggregate(total=Sum("amount"))["total"] or 0
    return int(spare.amount - claimed)
