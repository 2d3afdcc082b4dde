"""The first page of money: who owes, what the till holds, what waits."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from coop.buying.queries.squaring import buys_open_in_the_books, farms_owed
from coop.money import rights
from coop.money.models import Account, BooksCheck, Entry
from coop.money.queries.balances import Balance, balances_in
from coop.money.queries.rounds import open_round
from coop.money.queries.till import till_cash_cents
from coop.money.views.rounds import round_context
from coop.people.middleware import CoopRequest


@require_GET
def money(request: CoopRequest) -> HttpResponse:
    """How my household stands; for who keeps the books, how everybody does."""
    coop, member = request.coop, request.member
    balances = balances_in(coop, Account.Kind.HOUSEHOLD)
    sees_books = rights.can_see_books(member)
    square_up = open_round(coop)
    context = {
        "mine": _mine(balances, member.household_id),
        "balances": [each for each in balances if sees_books and _is_shown(each)],
        "till_cents": till_cash_cents(coop),
        "farms": farms_owed(coop),
        "buys": buys_open_in_the_books(coop),
        "square_up": square_up,
        "sees_books": sees_books,
        "keeps_books": rights.can_keep_books(member),
        "check": BooksCheck.objects.filter(coop=coop).first(),
        "is_empty": not Entry.objects.filter(coop=coop).exists(),
    }
    if square_up:
        context |= round_context(square_up, member)
    return render(request, "money/money.html", context)


def _mine(balances: list[Balance], household_id: int) -> Balance | None:
    return next((each for each in balances if each.account.household_id == household_id), None)


def _is_shown(balance: Balance) -> bool:
    """Households that left are shown only while something is open."""
    household = balance.account.household
    return bool(balance.cents or (household and household.left_at is None))
