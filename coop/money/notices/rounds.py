"""Keeps what there is to tell of a round of squaring up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from django.db import transaction
from django.urls import reverse

from coop.core.figures import money
from coop.money.locks import lock_books
from coop.money.models import Account, Payment, SquareUp
from coop.money.notices import kinds
from coop.money.queries.rounds import accounts_behind
from coop.notices.actions.keeping import Kept, keep
from coop.notices.queries.causes import causes_told
from coop.notices.says import Audience, Role, Say
from coop.notices.sources import Source, sources
from coop.people.models import Coop

NAME = "round"


def register() -> None:
    """Make the kinds and the source known; called once, when the app is ready."""
    kinds.register()
    sources.append(Source(NAME, live, renew_round))


def says_of(square_up: SquareUp) -> list[Say]:
    """Of each payment that is not confirmed, to who has to act next, and to who waits for it.

    Money that has moved since may have made a payment wrong: then nobody is asked to make it, as
    on the page of the round. What was said to be paid is to be confirmed all the same. Two queries.
    """
    if square_up.finished_at or square_up.withdrawn_at:
        return []
    payments = [
        each
        for each in square_up.payments.select_related("payer__household", "payee__household")
        if not each.confirmed_at
    ]
    behind = accounts_behind(square_up) if payments else frozenset()
    return [say for payment in payments for say in _said(square_up, payment, behind)]


def _said(square_up: SquareUp, payment: Payment, behind: frozenset[int]) -> Iterator[Say]:
    if payment.paid_at:
        yield _to_confirm(square_up, payment, payment.paid_at)
    elif behind.isdisjoint({payment.payer_id, payment.payee_id}):
        yield _to_pay(square_up, payment)
        if payment.payee.household:
            yield _owed(square_up, payment, payment.payee.household)


def _to_pay(square_up: SquareUp, payment: Payment) -> Say:
    cents = money(payment.cents, square_up.coop.currency)
    payee = payment.payee.in_words
    by_till = payment.payer.household is None
    payer = "from the till " if by_till else ""
    return _say(
        square_up,
        payment,
        "pay",
        kind=kinds.TO_PAY.code,
        to=_whose(payment.payer),
        at=square_up.made_at,
        title=f"Squaring up: pay {payee} {cents}" + (" from the till" if by_till else ""),
        to_do=f"Pay {payee} {cents} {payer}and mark it as paid.",
        details=("Mark it once the money is on its way; who gets it confirms it.",),
        button="Mark it as paid",
    )


def _to_confirm(square_up: SquareUp, payment: Payment, paid_at: datetime) -> Say:
    cents = money(payment.cents, square_up.coop.currency)
    payer = payment.payer.in_words
    whose = " to the till" if payment.payee.household is None else ""
    return _say(
        square_up,
        payment,
        "confirm",
        kind=kinds.TO_CONFIRM.code,
        to=_whose(payment.payee),
        at=paid_at,
        title=f"Squaring up: {cents} from {payer}{whose} is marked as paid",
        to_do=f"Confirm it once {cents} from {payer} has arrived.",
        details=("It stands in the books when you confirm it.",),
        button="Say that it arrived",
    )


def _owed(square_up: SquareUp, payment: Payment, household: Audience) -> Say:
    cents = money(payment.cents, square_up.coop.currency)
    payer = payment.payer.in_words
    return _say(
        square_up,
        payment,
        "owed",
        kind=kinds.OWED.code,
        to=household,
        at=square_up.made_at,
        title=f"Squaring up: you get {cents} from {payer}",
        to_do=f"Expect {cents} from {payer}, and confirm it when it has arrived.",
        button="See the payment",
    )


def _whose(account: Account) -> Audience:
    """The household of an account; the treasurer for the till."""
    return account.household or Role("treasurer")


def _say(square_up: SquareUp, payment: Payment, key: str, **fields: Any) -> Say:
    path = reverse("money:round", args=[square_up.coop.slug, square_up.pk])
    return Say(key=f"{key}/{payment.pk}", path=path, **fields)


def renew_round(square_up_id: int) -> Kept:
    """Lock the books, and keep what there is to tell of a round. The last thing an act does."""
    with transaction.atomic():
        square_up = SquareUp.objects.select_related("coop").get(pk=square_up_id)
        lock_books(square_up.coop_id)
        square_up.refresh_from_db(fields=["finished_at", "withdrawn_at"])
        return keep(square_up.coop, f"{NAME}:{square_up.pk}", says_of(square_up))


def renew_open_round(coop: Coop) -> None:
    """The same for the round that is being paid, if there is one: money has moved."""
    for square_up_id in _open(coop):
        renew_round(square_up_id)


def live(coop: Coop) -> Iterable[int]:
    """The round that is being paid, and any of which something stands to be told."""
    return sorted({*_open(coop), *causes_told(coop, NAME)})


def _open(coop: Coop) -> Iterable[int]:
    open_rounds = SquareUp.objects.filter(coop=coop, finished_at=None, withdrawn_at=None)
    return open_rounds.values_list("pk", flat=True)
