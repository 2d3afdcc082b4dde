"""An account line by line, oldest first, each line with where it came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.http import Http404

from coop.money.models import Account, Entry, Movement
from coop.money.sides import sides_of
from coop.people.models import Member


@dataclass(frozen=True)
class StatementLine:
    """One movement as its account sees it: above zero it gave, below zero it received."""

    entry: Entry
    at: datetime
    what: str
    other: Account
    cents: int
    balance_cents: int
    was_reversed: bool

    @property
    def between(self) -> str:
        """What stands between the kind and the name of the other: ", from", ", owed to", " by"."""
        sides = sides_of(self.entry)
        return sides.by_giver if self.cents > 0 else sides.by_receiver

    @property
    def gave_cents(self) -> int:
        """What the account gave, or 0."""
        return max(0, self.cents)

    @property
    def got_cents(self) -> int:
        """What the account received, or 0."""
        return max(0, -self.cents)


@dataclass(frozen=True)
class Statement:
    """All lines of an account, and their sum."""

    account: Account
    lines: Sequence[StatementLine]

    @property
    def balance_cents(self) -> int:
        """Above zero: is owed. Below zero: owes."""
        return self.lines[-1].balance_cents if self.lines else 0

    @property
    def gave_cents(self) -> int:
        """What the account gave in all."""
        return sum(line.gave_cents for line in self.lines)

    @property
    def got_cents(self) -> int:
        """What the account received in all."""
        return sum(line.got_cents for line in self.lines)


def statement_of(account: Account) -> Statement:
    """Every movement of an account with the running balance, in one query."""
    movements = (
        Movement.objects.filter(Q(source=account) | Q(target=account))
        .select_related(
            "entry__made_by", "entry__reversed_by", "entry__reverses", "source", "target"
        )
        .order_by("entry_id", "pk")
    )
    lines: list[StatementLine] = []
    balance_cents = 0
    for movement in movements:
        line = _line(movement, account, balance_cents)
        balance_cents = line.balance_cents
        lines.append(line)
    return Statement(account, lines)


def _line(movement: Movement, account: Account, before_cents: int) -> StatementLine:
    gave = movement.source_id == account.pk
    cents = movement.cents if gave else -movement.cents
    return StatementLine(
        entry=movement.entry,
        at=movement.entry.made_at,
        what=movement.note or movement.entry.title,
        other=movement.target if gave else movement.source,
        cents=cents,
        balance_cents=before_cents + cents,
        was_reversed=hasattr(movement.entry, "reversed_by"),
    )


def account_for(member: Member, account_id: int) -> Account:
    """An account to read. Absent and another co-op's are the same 404."""
    account = (
        Account.objects.select_related("household", "coop")
        .filter(coop=member.coop, pk=account_id)
        .first()
    )
    if account is None:
        raise Http404
    return account


def household_account_for(member: Member, household_id: int) -> Account:
    """A household's account to read. Absent and another co-op's are the same 404."""
    account = (
        Account.objects.select_related("household", "coop")
        .filter(coop=member.coop, household_id=household_id)
        .first()
    )
    if account is None:
        raise Http404
    return account
