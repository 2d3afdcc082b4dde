"""Balances are sums of movements, never stored. Above zero: is owed. Below zero: owes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import BigIntegerField, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from coop.money.models import Account, Movement
from coop.people.models import Coop


@dataclass(frozen=True)
class Balance:
    """An account and what it gave less what it received, in cents."""

    account: Account
    cents: int

    @property
    def owes_cents(self) -> int:
        """What it owes, or 0."""
        return max(0, -self.cents)

    @property
    def is_owed_cents(self) -> int:
        """What it is owed, or 0."""
        return max(0, self.cents)


def _sum_of(side: str) -> Coalesce:
    sums = (
        Movement.objects.filter(**{side: OuterRef("pk")})
        .order_by()
        .values(side)
        .annotate(total=Sum("cents"))
        .values("total")
    )
    return Coalesce(Subquery(sums, output_field=BigIntegerField()), 0)


def accounts_with_balances(coop: Coop) -> QuerySet[Any]:
    """Every account of a co-op with `balance_cents`: what it gave less what it received.

    The stubs know no annotated rows, hence Any; `balances_in` gives them with their types.
    """
    return Account.objects.filter(coop=coop).annotate(
        balance_cents=_sum_of("source") - _sum_of("target")
    )


def balance_of(account: Account) -> int:
    """One account's balance in cents."""
    sums = Movement.objects.filter(Q(source=account) | Q(target=account)).aggregate(
        gave=Sum("cents", filter=Q(source=account)), got=Sum("cents", filter=Q(target=account))
    )
    return (sums["gave"] or 0) - (sums["got"] or 0)


def balances_in(coop: Coop, *kinds: Account.Kind) -> list[Balance]:
    """The balance of every account of these kinds (all, by default), by name; in one query."""
    accounts = accounts_with_balances(coop).select_related("household").order_by("name", "pk")
    if kinds:
        accounts = accounts.filter(kind__in=kinds)
    return [Balance(account, account.balance_cents) for account in accounts]


def open_balances(coop: Coop) -> list[Balance]:
    """The accounts that owe or are owed something."""
    return [balance for balance in balances_in(coop) if balance.cents]
