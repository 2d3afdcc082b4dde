"""Claiming from the spare table: first come, first served."""

from __future__ import annotations

from django.db import IntegrityError, transaction

from coop.buying import rights
from coop.buying.actions.charges import charge_claim
from coop.buying.actions.stages import require_stage
from coop.buying.errors import NotAllowed, Refused, TooLate
from coop.buying.models import Buy, Spare, SpareClaim
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.spare import remaining_of
from coop.core.figures import quantity
from coop.people.changes import record_change
from coop.people.models import Household, Member


def claim_spare(spare: Spare, household: Household, amount: int, *, by: Member) -> SpareClaim:
    """A household takes some of a spare, in base steps, and owes its part of the cost.

    Raises NotAllowed, Refused, WrongStage, and TooLate where others were first.
    """
    line = spare.division.line
    with transaction.atomic():
        buy = lock_buy(by, line.buy_id)
        if not rights.can_ask_for(by, household):
            raise NotAllowed("Claim for your own household; a coordinator may claim for others.")
        require_stage(buy, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
        _check(spare, amount)
        claim = _claim(spare, household, amount, by=by)
        record_change(
            buy,
            f"{household} takes {quantity(amount, line.measure)} of {line.produce} "
            "from the spare table",
            coop=buy.coop,
            by=by,
            after={"claim": claim.pk, "spare": spare.pk, "amount": amount},
        )
        charge_claim(claim, by=by)
        renew_buy(buy.pk)
        return claim


def _check(spare: Spare, amount: int) -> None:
    line = spare.division.line
    spare.refresh_from_db(fields=["withdrawn_at"])
    left = 0 if spare.withdrawn_at else remaining_of(spare)
    if left == 0:
        raise TooLate(f"Somebody was first: no {line.produce} is left of that.")
    if amount < 1:
        raise Refused("Say how much, above zero.", field="amount")
    if amount > left:
        raise Refused(
            f"{quantity(left, line.measure)} is left. Take that much or less.", field="amount"
        )
    if amount % line.step and amount != left:
        step = quantity(line.step, line.measure)
        raise Refused(f"Take it in steps of {step}, or all that is left.", field="amount")


def _claim(spare: Spare, household: Household, amount: int, *, by: Member) -> SpareClaim:
    try:
        with transaction.atomic():
            return SpareClaim.objects.create(spare=spare, household=household, amount=amount, by=by)
    except IntegrityError as refusal:
        raise TooLate("Somebody was first. Look at what is left.") from refusal
