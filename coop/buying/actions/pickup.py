"""Ticking what is fetched, and putting what is not on the spare table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from coop.buying import rights
from coop.buying.actions.stages import require_stage
from coop.buying.errors import NotAllowed, Refused, TooLate
from coop.buying.models import Buy, Line, Share, Spare, SpareClaim
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.shares import released_from, unfetched_shares
from coop.core.figures import quantity
from coop.people.changes import record_change
from coop.people.models import Household, Member

FETCHING = (Buy.Stage.COLLECTED, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)


def tick_share(share: Share, *, by: Member) -> None:
    """A household came for its share. Raises NotAllowed, TooLate and WrongStage."""
    with transaction.atomic():
        line = share.division.line
        buy = _buy_to_tick(line, by=by)
        changed = Share.objects.filter(
            pk=share.pk,
            fetched_at__isnull=True,
            released_at__isnull=True,
            division__withdrawn_at__isnull=True,
        ).update(fetched_at=timezone.now(), ticked_by=by)
        if not changed:
            raise TooLate(_why_not(share))
        _tell(buy, share.household, line, amount=share.amount, fetched=True, by=by)
        renew_buy(buy.pk)


def untick_share(share: Share, *, by: Member) -> None:
    """The tick was a mistake."""
    with transaction.atomic():
        line = share.division.line
        buy = _buy_to_tick(line, by=by)
        changed = Share.objects.filter(pk=share.pk, fetched_at__isnull=False).update(
            fetched_at=None, ticked_by=None
        )
        if not changed:
            raise TooLate("It is not ticked any more.")
        _tell(buy, share.household, line, amount=share.amount, fetched=False, by=by)
        renew_buy(buy.pk)


def tick_claim(claim: SpareClaim, *, by: Member) -> None:
    """A household came for what it claimed from the spare table."""
    _set_claim(claim, fetched_at=timezone.now(), by=by)


def untick_claim(claim: SpareClaim, *, by: Member) -> None:
    """The tick was a mistake."""
    _set_claim(claim, fetched_at=None, by=by)


def tick_household(buy: Buy, household: Household, *, by: Member) -> None:
    """A household came for all that is there for it, of every line, in one tap."""
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        _require_runner(by, buy)
        require_stage(buy, *FETCHING)
        now = timezone.now()
        shares = (
            unfetched_shares(buy).filter(household=household).update(fetched_at=now, ticked_by=by)
        )
        claims = SpareClaim.objects.filter(
            household=household,
            fetched_at__isnull=True,
            spare__division__line__buy=buy,
            spare__division__withdrawn_at__isnull=True,
        ).update(fetched_at=now)
        if not shares + claims:
            raise TooLate(f"{household} has fetched everything already.")
        record_change(buy, f"{household} fetched everything", coop=buy.coop, by=by)
        renew_buy(buy.pk)


def release_unfetched(buy: Buy, *, by: Member | None, now: datetime) -> Sequence[Spare]:
    """Put every share that nobody fetched on the spare table; `by` None is the clock.

    Raises NotAllowed, WrongStage, and Refused before the pickup and its grace time are over.
    """
    with transaction.atomic():
        buy = lock_buy(by, buy.pk) if by else _lock(buy)
        if by:
            _require_runner(by, buy)
        require_stage(buy, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
        if now < released_from(buy):
            raise Refused(
                f"The pickup and its {buy.grace_minutes} minutes of grace are not over. Shares are "
                "kept until then."
            )
        shares = list(
            unfetched_shares(buy)
            .filter(amount__gt=0)
            .select_related("household", "division__line")
            .order_by("pk")
        )
        Share.objects.filter(pk__in=[share.pk for share in shares]).update(released_at=now)
        spares = Spare.objects.bulk_create(
            Spare(division=share.division, share=share, amount=share.amount, offered_at=now)
            for share in shares
        )
        for share in shares:
            line = share.division.line
            amount = quantity(share.amount, line.measure)
            sentence = f"{share.household}: {amount} of {line.produce} put on the spare table"
            record_change(buy, sentence, coop=buy.coop, by=by)
        renew_buy(buy.pk)
        return spares


# ---- what must hold -------------------------------------------------------------------------
def _buy_to_tick(line: Line, *, by: Member) -> Buy:
    buy = lock_buy(by, line.buy_id)
    _require_runner(by, buy)
    require_stage(buy, *FETCHING)
    return buy


def _require_runner(by: Member, buy: Buy) -> None:
    if not rights.can_run(by, buy):
        raise NotAllowed("The pickup is ticked by a coordinator, or by who leads this buy.")


def _lock(buy: Buy) -> Buy:
    return Buy.objects.select_for_update(of=("self",)).select_related("coop").get(pk=buy.pk)


def _why_not(share: Share) -> str:
    share.refresh_from_db(fields=["fetched_at", "released_at"])
    if share.fetched_at:
        return f"{share.household} has fetched it already; it is ticked."
    if share.released_at:
        return (
            f"The share of {share.household} is on the spare table by now. What is left of it can "
            "be claimed there."
        )
    return "This division was withdrawn. Look at the pickup as it stands."


def _set_claim(claim: SpareClaim, *, fetched_at: datetime | None, by: Member) -> None:
    with transaction.atomic():
        line = claim.spare.division.line
        buy = _buy_to_tick(line, by=by)
        changed = SpareClaim.objects.filter(
            pk=claim.pk, fetched_at__isnull=fetched_at is not None
        ).update(fetched_at=fetched_at)
        if not changed:
            raise TooLate("Somebody ticked it meanwhile." if fetched_at else "It is not ticked.")
        fetched = fetched_at is not None
        _tell(buy, claim.household, line, amount=claim.amount, fetched=fetched, by=by)
        renew_buy(buy.pk)


def _tell(
    buy: Buy, household: Household, line: Line, *, amount: int, fetched: bool, by: Member
) -> None:
    what = f"{quantity(amount, line.measure)} of {line.produce}"
    sentence = f"{household} fetched {what}" if fetched else f"{household} did not fetch {what}"
    record_change(buy, sentence, coop=buy.coop, by=by)
