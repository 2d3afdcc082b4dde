"""Who has what of a buy: shares, what others claimed of them, and what is fetched."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet
from django.http import Http404

from coop.buying.models import Buy, Charge, Division, Line, Share, SpareClaim
from coop.buying.queries.tally import bill_cents_of, usable_of
from coop.people.models import Household, Member

__all__ = [
    "amounts_got",
    "bill_cents_of",
    "buys_past_pickup",
    "claim_for",
    "household_in",
    "is_produce_charged",
    "released_from",
    "share_for",
    "standing_divisions",
    "unfetched_shares",
    "usable_of",
]


def standing_divisions(buy: Buy) -> QuerySet[Division]:
    """The divisions that hold, at most one a line, with their lines and who published them."""
    return (
        Division.objects.filter(line__buy=buy, withdrawn_at__isnull=True)
        .select_related("line", "published_by__household")
        .order_by("line__position", "line_id")
    )


def amounts_got(buy: Buy) -> dict[int, dict[int, int]]:
    """What each household got of each line: line id to household id to base steps.

    It is its share, less what others claimed of it from the spare table, plus what it claimed. A
    household that asked and got nothing stands with 0.
    """
    got: defaultdict[int, defaultdict[int, int]] = defaultdict(lambda: defaultdict(int))
    for line_id, household_id, amount in _standing_shares(buy):
        got[line_id][household_id] += amount
    for line_id, taker_id, amount, owner_id in _standing_claims(buy):
        got[line_id][taker_id] += amount
        if owner_id is not None:
            got[line_id][owner_id] -= amount
    return {line_id: dict(amounts) for line_id, amounts in got.items()}


def _standing_shares(buy: Buy) -> QuerySet[Share, tuple[int, int, int]]:
    return Share.objects.filter(
        division__line__buy=buy, division__withdrawn_at__isnull=True
    ).values_list("division__line_id", "household_id", "amount")


def _standing_claims(buy: Buy) -> QuerySet[SpareClaim, tuple[int, int, int, int | None]]:
    return SpareClaim.objects.filter(
        spare__division__line__buy=buy, spare__division__withdrawn_at__isnull=True
    ).values_list(
        "spare__division__line_id", "household_id", "amount", "spare__share__household_id"
    )


def is_produce_charged(line: Line) -> bool:
    """Whether a charge for this produce stands in the books: it was made and not reversed."""
    return Charge.objects.filter(
        Q(what=Charge.What.PRODUCE) | Q(what=Charge.What.CLAIM),
        line=line,
        entry__reversed_by__isnull=True,
    ).exists()


def share_for(member: Member, share_id: int) -> Share:
    """A share of a standing division, with its line and buy. Absent and another co-op's: 404."""
    share = (
        Share.objects.select_related("household", "division__line__buy__coop")
        .filter(
            pk=share_id,
            division__line__buy__coop=member.coop,
            division__withdrawn_at__isnull=True,
        )
        .first()
    )
    if share is None:
        raise Http404
    return share


def claim_for(member: Member, claim_id: int) -> SpareClaim:
    """A claim on the spare table, with its line and buy. Absent and another co-op's: 404."""
    claim = (
        SpareClaim.objects.select_related("household", "spare__division__line__buy__coop")
        .filter(
            pk=claim_id,
            spare__division__line__buy__coop=member.coop,
            spare__division__withdrawn_at__isnull=True,
        )
        .first()
    )
    if claim is None:
        raise Http404
    return claim


def household_in(member: Member, household_id: int) -> Household:
    """A household of the member's co-op. Absent and another co-op's: 404."""
    household = Household.objects.filter(coop=member.coop, pk=household_id).first()
    if household is None:
        raise Http404
    return household


def unfetched_shares(buy: Buy) -> QuerySet[Share]:
    """Shares of standing divisions that are neither fetched nor on the spare table."""
    return Share.objects.filter(
        division__line__buy=buy,
        division__withdrawn_at__isnull=True,
        fetched_at__isnull=True,
        released_at__isnull=True,
    )


def released_from(buy: Buy) -> datetime:
    """The moment from which what is not fetched may go to the spare table."""
    return buy.pickup_to + timedelta(minutes=buy.grace_minutes)


def buys_past_pickup(now: datetime) -> list[Buy]:
    """Buys of every co-op whose grace time is over and that hold shares nobody fetched."""
    waiting = (
        Buy.objects.filter(
            stage__in=(Buy.Stage.COLLECTED, Buy.Stage.DIVIDED),
            pickup_to__lte=now,
            lines__divisions__withdrawn_at__isnull=True,
            lines__divisions__shares__amount__gt=0,
            lines__divisions__shares__fetched_at__isnull=True,
            lines__divisions__shares__released_at__isnull=True,
        )
        .distinct()
        .order_by("pk")
    )
    return [buy for buy in waiting if released_from(buy) <= now]
