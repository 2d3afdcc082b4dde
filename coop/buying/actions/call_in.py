"""Calling a buy in, stepping a stage back with a reason, and calling a buy off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db import transaction

from coop.buying.actions.stages import move_to, require_stage
from coop.buying.errors import NotCovered, Refused, TooLate, WrongStage
from coop.buying.models import Buy, CallIn, Division, Supply, Tally
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.asks import are_asks_open
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.cover import cover_of
from coop.buying.queries.lines import lines_of, supplies_of
from coop.buying.queries.lots import problem_with
from coop.buying.queries.spent import has_money_moved
from coop.buying.rights import require_run
from coop.core.figures import counted, join_words, money
from coop.people.models import Member

#: Back from each stage to the one before it. A buy that was called off asks again, asks closed.
BACK = {
    Buy.Stage.CALLED_IN: Buy.Stage.ASKING,
    Buy.Stage.COLLECTED: Buy.Stage.CALLED_IN,
    Buy.Stage.DIVIDED: Buy.Stage.COLLECTED,
    Buy.Stage.CALLED_OFF: Buy.Stage.ASKING,
}


def call_in(
    buy_id: int, counts: Mapping[int, int], *, spoke_to: str = "", note: str = "", by: Member
) -> CallIn:
    """Place the order: containers by supply. The buy's rule about cover is kept here."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        require_stage(buy, Buy.Stage.ASKING)
        if are_asks_open(buy):
            raise Refused("Asks are still open. Close them first, so that the order stands still.")
        supplies = supplies_of(lines_of([buy]))
        _check_counts(supplies, counts)
        _require_cover(buy, counts)
        for supply in supplies:
            supply.called_in = counts[supply.pk]
            supply.save(update_fields=["called_in"])
        placed = CallIn.objects.create(buy=buy, by=by, spoke_to=spoke_to, note=note)
        move_to(buy, Buy.Stage.CALLED_IN, f"Called in: {_said(supplies)}", by=by)
        renew_buy(buy.pk)
        return placed


def _check_counts(supplies: Sequence[Supply], counts: Mapping[int, int]) -> None:
    if {supply.pk for supply in supplies} != set(counts):
        raise TooLate("The lines of this buy changed in the meantime. Look at it again.")
    for supply in supplies:
        if problem := problem_with(supply, counts[supply.pk]):
            raise Refused(problem, field=f"n-{supply.pk}")
    if not any(counts.values()):
        raise Refused("There is nothing in this order. Call the buy off if it is not to be.")


def _require_cover(buy: Buy, counts: Mapping[int, int]) -> None:
    cover = cover_of(buy, counts)
    if cover.is_covered:
        return
    short = money(cover.short_cents, buy.coop.currency)
    if buy.cover == Buy.Cover.FRONTED:
        raise NotCovered(
            f"{short} of this order is beyond what is fronted and what balances cover. Call in "
            "less, or let households pay in first."
        )
    raise NotCovered(
        f"This buy is called in only once it is covered, and {short} is missing. Let households "
        "pay in first, or call in less."
    )


def _said(supplies: Sequence[Supply]) -> str:
    return join_words(
        f"{counted(supply.called_in or 0, supply.container)} from {supply.farm.name}"
        for supply in supplies
        if supply.called_in
    )


def step_back(buy_id: int, why: str, *, by: Member) -> Buy:
    """Go one stage back, with a reason, until money has moved for the buy."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        _require_reason(why)
        stage = BACK.get(Buy.Stage(buy.stage))
        if stage is None:
            raise WrongStage(f"A buy that is {Buy.Stage(buy.stage).label} has no stage to go back.")
        _require_nothing_spent(buy)
        if Division.objects.filter(line__buy=buy, withdrawn_at__isnull=True).exists():
            raise Refused("Withdraw the division first; then the buy is collected again.")
        if stage == Buy.Stage.ASKING:
            _forget_order(buy)
        move_to(buy, stage, f"Back to {stage.label}: {why}", by=by)
        renew_buy(buy.pk)
        return buy


def call_off(buy_id: int, why: str, *, by: Member) -> Buy:
    """Call a buy off, with a reason, until money has moved for it. What was asked stays written."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        _require_reason(why)
        require_stage(buy, Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED)
        _require_nothing_spent(buy)
        buy.called_off_why = why
        buy.save(update_fields=["called_off_why"])
        move_to(buy, Buy.Stage.CALLED_OFF, f"Called off: {why}", by=by)
        renew_buy(buy.pk)
        return buy


def _require_reason(why: str) -> None:
    if not why.strip():
        raise Refused("Say why: everybody will read it.", field="why")


def _require_nothing_spent(buy: Buy) -> None:
    if has_money_moved(buy):
        raise TooLate(
            "Money has moved for this buy, so its stage stands. What is wrong is put right by "
            "reversing an entry in the books."
        )


def _forget_order(buy: Buy) -> None:
    Supply.objects.filter(line__buy=buy).update(called_in=None)
    CallIn.objects.filter(buy=buy).delete()
    Tally.objects.filter(supply__line__buy=buy).delete()
    if buy.called_off_why:
        buy.called_off_why = ""
        buy.save(update_fields=["called_off_why"])
