"""When a buy is squared up, and when it is open again.

Locks go from the buys to the books, as everywhere, so these acts lock the buys first.
"""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from coop.buying.actions.stages import move_to
from coop.buying.models import Buy
from coop.buying.queries.squaring import squareable
from coop.money.actions import rounds
from coop.money.models import Payment, SquareUp
from coop.people.models import Coop, Member


def square_up(coop: Coop, *, by: Member, keep: Collection[int] = ()) -> SquareUp:
    """Make a round; where it needs no payment, its buys are squared up at once.

    Raises what `coop.money.actions.rounds.square_up` does.
    """
    with transaction.atomic():
        buys = _lock_divided(coop)
        made = rounds.square_up(coop, by=by, keep=keep)
        if made.finished_at:
            _square(buys, by=by)
        return made


def confirm_payment(payment: Payment, *, by: Member) -> bool:
    """Confirm a payment; the last of a round squares up the buys that are settled.

    Raises what `coop.money.actions.rounds.confirm_payment` does.
    """
    with transaction.atomic():
        buys = _lock_divided(payment.square_up.coop)
        finished = rounds.confirm_payment(payment, by=by)
        if finished:
            _square(buys, by=by)
        return finished


def _lock_divided(coop: Coop) -> list[Buy]:
    divided = Buy.objects.filter(coop=coop, stage=Buy.Stage.DIVIDED).order_by("pk")
    return list(divided.select_for_update(of=("self",), no_key=True).select_related("coop"))


def _square(buys: list[Buy], *, by: Member) -> None:
    for buy in squareable(buys):
        move_to(buy, Buy.Stage.SQUARED, "Everybody is square: nothing of this buy is open", by=by)


def reopen(buy: Buy, why: str, *, by: Member) -> None:
    """Set a buy that was squared up back to divided. The caller holds its lock."""
    if buy.stage == Buy.Stage.SQUARED:
        move_to(buy, Buy.Stage.DIVIDED, f"Open again: {why}", by=by)
