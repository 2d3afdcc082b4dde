"""Loans begun, agreed and ended. What is promised is never more than can be spared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from coop.jars import rights
from coop.jars.errors import NotSpare, Refused, TooLate
from coop.jars.loan_words import agreed_said, ended_said, jars_said, lot_said
from coop.jars.models import Loan, LoanLine
from coop.jars.notices import loans as notices
from coop.jars.queries.loans import Stage, lock_loan, standing_of
from coop.jars.queries.stock import stock_of
from coop.people.changes import record_change
from coop.people.days import today_in
from coop.people.models import Household, Member
from coop.people.rights import require

LONGEST_LOAN = timedelta(days=730)  # judgement: a longer one is a year typed wrongly


@dataclass(frozen=True)
class Proposal:
    """What is asked for or offered: jars by kind, the day they should be back, a message."""

    counts: Mapping[str, int]
    due_on: date
    message: str = ""


def ask_for_jars(lender: Household, borrower: Household, wish: Proposal, *, by: Member) -> Loan:
    """A household asks another for jars. It reserves nothing.

    Raises NotAllowed, NotSpare, Refused, and TooLate where a household has left.
    """
    rights.require_act_for(by, borrower)
    return _begin(Loan(lender=lender, borrower=borrower, started=Loan.Started.ASKED), wish, by=by)


def offer_jars(lender: Household, borrower: Household, wish: Proposal, *, by: Member) -> Loan:
    """A household offers another jars. It reserves nothing. Raises as `ask_for_jars`."""
    rights.require_act_for(by, lender)
    return _begin(Loan(lender=lender, borrower=borrower, started=Loan.Started.OFFERED), wish, by=by)


def agree(loan_id: int, *, by: Member) -> Loan:
    """The other side says yes: from now on the jars are promised.

    Raises NotAllowed, NotSpare, TooLate.
    """
    with transaction.atomic():
        _lock_sides(Loan.objects.get(pk=loan_id, coop=by.coop))
        loan = lock_loan(by, loan_id)
        require(
            rights.can_answer(by, loan),
            "The other household answers this one, or a coordinator on its behalf.",
        )
        if loan.ended_at:
            raise TooLate(_ended_already(loan))
        if loan.agreed_at:
            raise TooLate(f"{loan.agreed_by} said yes to it already.")
        counts = standing_of(loan).agreed
        _require_spare(loan.lender, counts)
        loan.agreed_at, loan.agreed_by = timezone.now(), by
        loan.save(update_fields=["agreed_at", "agreed_by"])
        sentence = f"{agreed_said(loan)} {loan.lender} lends {loan.borrower} {lot_said(counts)}."
        record_change(loan, sentence, coop=loan.coop, by=by, after={"agreed": counts})
        notices.renew(loan.pk)
        return loan


def end_loan(loan_id: int, *, by: Member) -> Loan:
    """Decline, take back or call off what is not handed over. Jars that are out stay owed.

    Raises NotAllowed, TooLate.
    """
    with transaction.atomic():
        loan = lock_loan(by, loan_id)
        require(rights.can_write_on(by, loan), "That is for the two households of the loan.")
        standing = standing_of(loan)
        if loan.ended_at:
            raise TooLate(_ended_already(loan))
        if standing.stage != Stage.WAITING and not standing.to_hand_over:
            raise TooLate("The jars are handed over already: write down what comes back instead.")
        loan.ended_at, loan.ended_by = timezone.now(), by
        loan.save(update_fields=["ended_at", "ended_by"])
        sentence = ended_said(loan, has_moved=bool(standing.latest_move))
        record_change(loan, sentence, coop=loan.coop, by=by, before={"agreed": standing.agreed})
        notices.renew(loan.pk)
        return loan


def _begin(loan: Loan, wish: Proposal, *, by: Member) -> Loan:
    counts = {kind: count for kind, count in wish.counts.items() if count}
    if loan.lender_id == loan.borrower_id:
        raise Refused("A household cannot lend to itself: choose another one.")
    if not counts or min(counts.values()) < 0:
        raise Refused("Say how many jars, of one kind at the least.")
    _check_due(wish.due_on, today_in(by.coop, timezone.now()))
    with transaction.atomic():
        _lock_sides(loan)
        loan.coop, loan.by = by.coop, by
        loan.due_on, loan.message = wish.due_on, wish.message
        if again := _same_open(loan, counts):
            return again  # the button was pressed twice
        _require_spare(loan.lender, counts)
        loan.save()
        LoanLine.objects.bulk_create(
            LoanLine(loan=loan, kind=kind, count=count) for kind, count in counts.items()
        )
        notices.renew(loan.pk)
        return loan


def _check_due(due_on: date, today: date) -> None:
    if due_on < today:
        raise Refused("That day has passed. Say when the jars should be back.", field="due_on")
    if due_on > today + LONGEST_LOAN:
        raise Refused("That is over two years away. Choose an earlier day.", field="due_on")


def _lock_sides(loan: Loan) -> None:
    """Lock both households until the transaction ends, in the order of their keys.

    Promises of one lender take turns, and nobody leaves the co-op meanwhile.
    """
    pair = Household.objects.filter(pk__in=[loan.lender_id, loan.borrower_id]).order_by("pk")
    for household in pair.select_for_update(no_key=True):
        if household.left_at:
            raise TooLate(f"{household} has left the co-op.")


def _same_open(loan: Loan, counts: Mapping[str, int]) -> Loan | None:
    """The same ask or offer, still unanswered."""
    waiting = Loan.objects.filter(
        lender=loan.lender,
        borrower=loan.borrower,
        started=loan.started,
        due_on=loan.due_on,
        message=loan.message,
        agreed_at=None,
        ended_at=None,
    ).prefetch_related("lines")
    for other in waiting:
        if {line.kind: line.count for line in other.lines.all()} == counts:
            return other
    return None


def _require_spare(lender: Household, counts: Mapping[str, int]) -> None:
    held = stock_of(lender).kinds
    for kind, count in counts.items():
        spare = held[kind].spare if kind in held else 0
        if count > spare:
            there = jars_said(kind, spare) if spare else f"no {jars_said(kind, 0)[2:]}"
            raise NotSpare(f"{lender} has {there}, to spare now, not {count:,}.", field=kind)


def _ended_already(loan: Loan) -> str:
    return f"{loan.ended_by} ended it already: nothing more is handed over."
