"""After the close: an ask, or part of it, passes to another household that takes it."""

from __future__ import annotations

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from coop.buying.actions.asks import MOST_ASKED, accept
from coop.buying.errors import AsksClosed, Refused, TooLate, WrongStage
from coop.buying.models import Ask, Buy, Line, Release
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.asks import (
    are_asks_open,
    ask_of,
    ask_to_release,
    may_release,
    release_for,
)
from coop.buying.queries.buys import lock_buy
from coop.buying.rights import require_ask_for
from coop.core.figures import quantity
from coop.people.changes import record_change
from coop.people.models import Household, Member


def release_ask(buy_id: int, ask_id: int, amount: int, *, by: Member) -> Release:
    """Offer an ask, or part of it, to others. It stays one's own until somebody takes it."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        ask = ask_to_release(by, buy.pk, ask_id)
        require_ask_for(by, ask.household)
        _require_release_time(buy)
        _check_amount(ask, amount)
        release = Release.objects.create(ask=ask, amount=amount, offered_by=by)
        words = f"{ask.household.name} looks for a taker of {_said(ask.line, amount)}"
        record_change(buy, words, coop=buy.coop, by=by)
        return release


def withdraw_release(buy_id: int, release_id: int, *, by: Member) -> Release:
    """Keep what was offered after all."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        release = release_for(by, buy.pk, release_id)
        require_ask_for(by, release.ask.household)
        _require_open(release)
        release.withdrawn_at = timezone.now()
        release.save(update_fields=["withdrawn_at"])
        ask = release.ask
        words = f"{ask.household.name} keeps its {_said(ask.line, release.amount)}"
        record_change(buy, words, coop=buy.coop, by=by)
        return release


def take_release(
    buy_id: int,
    release_id: int,
    *,
    household: Household,
    by: Member,
    accept_rules: bool = False,
) -> Release:
    """Take what another household offers: its ask shrinks by it, and the taker's grows by it."""
    require_ask_for(by, household)
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        release = release_for(by, buy.pk, release_id)
        _require_open(release)
        _require_release_time(buy)
        if release.ask.household_id == household.pk:
            raise Refused("That is your own offer. Withdraw it to keep it.")
        accept(buy, household, by=by, accepts=accept_rules)
        _shrink(release.ask, release.amount)
        _grow(release.ask.line, household, release.amount, by=by)
        release.taken_by, release.taken_by_member = household, by
        release.taken_at = timezone.now()
        release.save(update_fields=["taken_by", "taken_by_member", "taken_at"])
        giver = release.ask.household.name
        words = f"{household.name} takes {_said(release.ask.line, release.amount)} from {giver}"
        record_change(buy, words, coop=buy.coop, by=by)
        renew_buy(buy.pk)
        return release


def _require_release_time(buy: Buy) -> None:
    if may_release(buy):
        return
    if are_asks_open(buy):
        raise AsksClosed("Asks are still open: simply change the ask.")
    raise WrongStage(
        f"This buy is {Buy.Stage(buy.stage).label} by now. What somebody cannot take goes over "
        "the spare table."
    )


def _require_open(release: Release) -> None:
    if release.taken_at:
        raise TooLate("Somebody took it already.")
    if release.withdrawn_at:
        raise TooLate("It was taken back in the meantime.")


def _check_amount(ask: Ask, amount: int) -> None:
    step = ask.whole or ask.line.step
    offered = (
        ask.releases.filter(taken_at__isnull=True, withdrawn_at__isnull=True).aggregate(
            total=Sum("amount")
        )["total"]
        or 0
    )
    left = ask.wanted - offered
    measure = ask.line.measure
    if amount < 1:
        raise Refused("Say how much you want to pass on.", field="amount")
    if amount > left:
        sentence = f"There is {quantity(left, measure)} of this ask to pass on."
        raise Refused(sentence, field="amount")
    if amount % step and amount != left:
        raise Refused(f"It goes in steps of {quantity(step, measure)}.", field="amount")


def _shrink(ask: Ask, amount: int) -> None:
    ask.wanted -= amount
    ask.at_least = min(ask.at_least, ask.wanted)
    if ask.at_most is not None:
        ask.at_most = max(ask.wanted, ask.at_most - amount)
    ask.changed_at = timezone.now()
    ask.save(update_fields=["wanted", "at_least", "at_most", "changed_at"])


def _grow(line: Line, household: Household, amount: int, *, by: Member) -> None:
    """Add to the taker's ask. It takes no more at the least, so that a shortage is still shared."""
    ask = ask_of(line, household)
    if ask is None or not ask.wanted:
        values = {"wanted": amount, "at_least": 0, "at_most": None, "whole": None}
        Ask.objects.update_or_create(
            line=line,
            household=household,
            defaults=values | {"or_none": False, "by": by, "changed_at": timezone.now()},
        )
        return
    if ask.whole and amount % ask.whole:
        size = quantity(ask.whole, line.measure)
        raise Refused(f"You take whole containers of {size} only; this is not a whole number.")
    if ask.wanted + amount > MOST_ASKED:
        raise Refused(f"Ask for {quantity(MOST_ASKED, line.measure)} at most.")
    ask.wanted += amount
    if ask.at_most is not None:
        ask.at_most += amount
    ask.changed_at = timezone.now()
    ask.save(update_fields=["wanted", "at_most", "changed_at"])


def _said(line: Line, amount: int) -> str:
    return f"{quantity(amount, line.measure)} {line.produce}"
