"""Whether money has moved for a buy: from then on its stages can be stepped back no more."""

from __future__ import annotations

from coop.buying.models import Buy
from coop.money.models import Movement


def has_money_moved(buy: Buy) -> bool:
    """Whether anything stands in the buy's books, or a farm was paid for it.

    What was reversed does not count, nor does a household's prepayment: it stays its own.
    """
    account = buy.account_id
    standing = Movement.objects.filter(
        entry__coop=buy.coop_id, entry__reversed_by__isnull=True, entry__reverses__isnull=True
    )
    if standing.filter(source=account).exists() or standing.filter(target=account).exists():
        return True
    return buy.payments.filter(farm__isnull=False, entry__reversed_by__isnull=True).exists()
