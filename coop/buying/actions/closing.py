"""Closing the asks of a buy, and opening them again."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused, TooLate
from coop.buying.models import Buy, Release
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.asks import are_asks_open
from coop.buying.queries.buys import lock_buy
from coop.buying.rights import require_run
from coop.people.changes import record_change
from coop.people.models import Member


def close_asks(buy_id: int, *, by: Member) -> Buy:
    """Close the asks now, before their time."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        require_stage(buy, Buy.Stage.ASKING)
        if not are_asks_open(buy):
            raise TooLate("Asks are closed already.")
        _set_close(buy, timezone.now(), "Asks closed", by=by)
        return buy


def reopen_asks(buy_id: int, until: datetime, *, by: Member) -> Buy:
    """Open the asks again, or move their close. What was offered to takers is taken back."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        require_stage(buy, Buy.Stage.ASKING)
        if until <= timezone.now():
            raise Refused("Asks must stay open for a while yet.", field="until")
        if until > buy.pickup_from:
            raise Refused("Asks must close before the pickup begins.", field="until")
        Release.objects.filter(
            ask__line__buy=buy, taken_at__isnull=True, withdrawn_at__isnull=True
        ).update(withdrawn_at=timezone.now())
        words = "The close of asks moved" if are_asks_open(buy) else "Asks opened again"
        _set_close(buy, until, words, by=by)
        return buy


def _set_close(buy: Buy, moment: datetime, words: str, *, by: Member) -> None:
    before = buy.asks_close_at
    buy.asks_close_at = moment
    buy.save(update_fields=["asks_close_at"])
    record_change(
        buy,
        words,
        coop=buy.coop,
        by=by,
        before={"asks_close_at": before.isoformat()},
        after={"asks_close_at": moment.isoformat()},
    )
    renew_buy(buy.pk)
