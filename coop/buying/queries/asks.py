"""Asks, who accepted the rules, and what is offered to others after the close."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone

from coop.buying.models import Ask, Buy, Line, Release, RulesAccepted
from coop.people.models import Household, Member


def are_asks_open(buy: Buy) -> bool:
    """Whether a household may still ask or change its ask."""
    return buy.stage == Buy.Stage.ASKING and timezone.now() < buy.asks_close_at


def may_release(buy: Buy) -> bool:
    """Whether an ask may pass to a taker: after the close and before the produce is tallied."""
    if buy.stage == Buy.Stage.ASKING:
        return not are_asks_open(buy)
    return buy.stage == Buy.Stage.CALLED_IN


def household_to_ask_for(member: Member, household_id: int | None = None) -> Household:
    """The member's own household, or another one of its co-op. Absent or another co-op's: 404."""
    if household_id is None or household_id == member.household_id:
        return member.household
    household = Household.objects.filter(
        coop=member.coop, pk=household_id, left_at__isnull=True
    ).first()
    if household is None:
        raise Http404
    return household


def households_in(member: Member) -> QuerySet[Household]:
    """The households of the member's co-op that have not left, by name."""
    return Household.objects.filter(coop=member.coop, left_at__isnull=True).order_by("name", "id")


def ask_of(line: Line, household: Household) -> Ask | None:
    """What a household asks of a line; None where it never asked."""
    return Ask.objects.filter(line=line, household=household).first()


def has_accepted_rules(buy: Buy, household: Household) -> bool:
    """Whether a household said yes to the rules of the buy."""
    return RulesAccepted.objects.filter(buy=buy, household=household).exists()


def are_rules_frozen(buy: Buy) -> bool:
    """Whether somebody said yes to the rules, so that they may change no more."""
    return RulesAccepted.objects.filter(buy=buy).exists()


def ask_to_release(member: Member, buy_id: int, ask_id: int) -> Ask:
    """An ask of a buy, with its line, buy and household. Absent and another co-op's: 404."""
    ask = (
        Ask.objects.select_related("line__buy__coop", "household")
        .filter(line__buy__coop=member.coop, line__buy_id=buy_id, pk=ask_id)
        .first()
    )
    if ask is None:
        raise Http404
    return ask


def release_for(member: Member, buy_id: int, release_id: int) -> Release:
    """A release of a buy, with its ask, line and household. Absent and another co-op's: 404."""
    release = (
        Release.objects.select_related("ask__line__buy__coop", "ask__household")
        .filter(ask__line__buy__coop=member.coop, ask__line__buy_id=buy_id, pk=release_id)
        .first()
    )
    if release is None:
        raise Http404
    return release


def open_releases(buy: Buy) -> QuerySet[Release]:
    """What is offered to others and not taken yet, the oldest first."""
    return (
        Release.objects.filter(ask__line__buy=buy, taken_at__isnull=True, withdrawn_at__isnull=True)
        .select_related("ask__line", "ask__household")
        .order_by("offered_at", "id")
    )
