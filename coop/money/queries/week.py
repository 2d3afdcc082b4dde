"""What money has to say on This week: payments to make and to confirm, and the balance."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from coop.money.models import Account, Payment
from coop.money.queries.balances import accounts_with_balances, balance_of
from coop.money.queries.rounds import accounts_behind
from coop.people import week
from coop.people.models import Member


@dataclass(frozen=True)
class Balance:
    """How a household stands: above zero it is owed, below zero it owes."""

    cents: int

    @property
    def without_sign(self) -> int:
        """The amount alone; words say which way it runs."""
        return abs(self.cents)


def register() -> None:
    """Put money's part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """Payments that wait for the household, what waits for the treasurer, and the balance."""
    due, waiting = [], _farms_to_pay(member) if member.treasurer else []
    payments = _open_payments(member)
    # One round is open. What it asks between two who stand as they did is still right.
    behind = accounts_behind(payments[0].square_up) if payments else frozenset()
    for payment in payments:
        if payment.payer.household_id == member.household_id and not payment.paid_at:
            has_moved = not behind.isdisjoint({payment.payer_id, payment.payee_id})
            page = "money/week/behind.html" if has_moved else "money/week/pay.html"
            due.append(week.Due(page, payment))
        elif payment.payee.household_id == member.household_id and payment.paid_at:
            due.append(week.Due("money/week/confirm.html", payment))
        elif payment.paid_at and payment.payee.household_id is None:
            waiting.append(week.Due("money/week/confirm.html", payment))
        elif payment.payer.household_id is None and not payment.paid_at:
            waiting.append(week.Due("money/week/pay.html", payment))
    tile = week.Tile("money/week/balance.html", Balance(_balance_cents(member)))
    return week.Week(due=due, waiting=waiting if member.treasurer else [], tiles=[tile])


def _farms_to_pay(member: Member) -> list[week.Due]:
    """The farms that are owed for what they delivered."""
    farms = accounts_with_balances(member.coop).filter(kind=Account.Kind.FARM, balance_cents__gt=0)
    return [week.Due("money/week/farm.html", farm) for farm in farms]


def _balance_cents(member: Member) -> int:
    account = Account.objects.select_related("coop").filter(household=member.household_id).first()
    return balance_of(account) if account else 0


def _open_payments(member: Member) -> list[Payment]:
    """Of the open round: what the household pays or gets, and for a treasurer what others do."""
    ours = Q(payer__household=member.household_id) | Q(payee__household=member.household_id)
    if member.treasurer:
        no_household = [Account.Kind.TILL, Account.Kind.FARM]
        ours |= Q(payer__kind__in=no_household) | Q(payee__kind__in=no_household)
    return list(
        Payment.objects.filter(
            ours,
            square_up__coop=member.coop,
            square_up__withdrawn_at__isnull=True,
            confirmed_at__isnull=True,
        ).select_related("payer", "payee", "square_up__coop")
    )
