"""Balances are sums of movements, never stored. Above zero: is owed. Below zero: owes."""

from __future__ import annotations

from django.db.models import BigIntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from coop.money.models import Account, Movement
from coop.people.models import Coop


def _sum_of(side: str) -> Coalesce:
    sums = (
        Movement.objects.filter(**{side: OuterRef("pk")})
        .order_by()
        .values(side)
        .annotate(total=Sum("cents"))
        .values("total")
    )
    return Coalesce(Subquery(sums, output_field=BigIntegerField()), 0)


def accounts_with_balances(coop: Coop) -> QuerySet[Account]:
    """Every account of a co-op with `balance_cents`: what it gave less what it received."""
    return Account.objects.filter(coop=coop).annotate(
        balance_cents=_sum_of("source") - _sum_of("target")
    )


def balance_of(account: Account) -> int:
    """One account's balance in cents."""
    found = accounts_with_balances(account.coop).filter(pk=account.pk)
    return int(found.values_list("balance_cents", flat=True).get())


def open_balances(coop: Coop) -> QuerySet[Account]:
    """The accounts that owe or are owed something."""
    return accounts_with_balances(coop).exclude(balance_cents=0)
