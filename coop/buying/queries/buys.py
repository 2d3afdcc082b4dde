"""Fetching buys for somebody."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from coop.buying.models import Buy, Line, Supply
from coop.people.models import Coop, Member


def buys_in(coop: Coop) -> QuerySet[Buy]:
    """All buys of a co-op, the latest close first."""
    return Buy.objects.filter(coop=coop).select_related("coop", "coordinator__household", "account")


def buy_for(member: Member, buy_id: int) -> Buy:
    """A buy to read. Absent and another co-op's are the same 404."""
    buy = buys_in(member.coop).select_related("fronted_by").filter(pk=buy_id).first()
    if buy is None:
        raise Http404
    return buy


def line_for(member: Member, buy_id: int, line_id: int) -> Line:
    """A line of a buy to read, with its buy."""
    line = (
        Line.objects.select_related("buy__coop", "buy__coordinator", "buy__account")
        .filter(buy__coop=member.coop, buy_id=buy_id, pk=line_id)
        .first()
    )
    if line is None:
        raise Http404
    return line


def supply_for(member: Member, buy_id: int, supply_id: int) -> Supply:
    """A supply of a buy to read, with its line, buy and farm."""
    supply = (
        Supply.objects.select_related("line__buy__coop", "line__buy__coordinator", "farm")
        .filter(line__buy__coop=member.coop, line__buy_id=buy_id, pk=supply_id)
        .first()
    )
    if supply is None:
        raise Http404
    return supply


def lock_buy(member: Member, buy_id: int) -> Buy:
    """A buy to change, inside a transaction: its row is locked until the transaction ends.

    Whatever hangs on a buy (its asks, tallies, divisions, charges) is changed under this lock, so
    that two coordinators take turns. On SQLite the immediate transaction is the lock.
    """
    buy = (
        Buy.objects.select_for_update(of=("self",))
        .select_related("coop", "account")
        .filter(coop=member.coop, pk=buy_id)
        .first()
    )
    if buy is None:
        raise Http404
    return buy
