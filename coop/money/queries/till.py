"""What the till holds. Its balance is something else: it may have carried a surplus, too."""

from __future__ import annotations

from django.db.models import Q, Sum

from coop.money.models import Account, Entry, Movement
from coop.people.models import Coop

#: Entries that move coins and notes, not produce.
CASH = (
    Entry.Kind.PAID_IN,
    Entry.Kind.PAID_OUT,
    Entry.Kind.FARM_PAID,
    Entry.Kind.SQUARED,
    Entry.Kind.COST,
)


def till_cash_cents(coop: Coop) -> int:
    """What went into the till less what came out, in cents; below zero, somebody lent it."""
    moved = Movement.objects.filter(entry__coop=coop).filter(
        Q(entry__kind__in=CASH) | Q(entry__reverses__kind__in=CASH)
    )
    sums = moved.aggregate(
        came=Sum("cents", filter=Q(target__kind=Account.Kind.TILL)),
        went=Sum("cents", filter=Q(source__kind=Account.Kind.TILL)),
    )
    return (sums["came"] or 0) - (sums["went"] or 0)
