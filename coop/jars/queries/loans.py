"""Loans read: one for a member, those that are open and those that are over."""

from __future__ import annotations

from typing import Any

from django.db.models import Case, Exists, F, OuterRef, Prefetch, Q, QuerySet, Subquery, Sum, When
from django.db.models.functions import Coalesce
from django.http import Http404

from coop.jars.models import JarMove, Loan, LoanLine
from coop.jars.queries.standing import Side, Stage, Standing, sides_of, standing_of
from coop.people.models import Coop, Household, Member

__all__ = [
    "Side",
    "Stage",
    "Standing",
    "loan_for",
    "lock_loan",
    "of_household",
    "open_loans",
    "past_loans",
    "sides_of",
    "standing_of",
]

What = JarMove.What


def loan_for(member: Member, loan_id: int) -> Loan:
    """A loan to read, with its lines and moves. Absent and another co-op's are the same 404."""
    moves = Prefetch("moves", JarMove.objects.select_related("by__household"))
    loan = (
        Loan.objects.filter(coop=member.coop, pk=loan_id)
        .select_related("coop", "lender", "borrower", "by", "agreed_by", "ended_by")
        .prefetch_related("lines", moves)
        .first()
    )
    if loan is None:
        raise Http404
    return loan


def lock_loan(member: Member, loan_id: int) -> Loan:
    """A loan to change, locked until the transaction ends: acts on one loan take turns."""
    return (
        Loan.objects.select_for_update(of=("self",), no_key=True)
        .select_related("coop", "lender", "borrower", "agreed_by", "ended_by")
        .get(pk=loan_id, coop=member.coop)
    )


def open_loans(coop: Coop) -> QuerySet[Loan]:
    """Loans that want something of somebody: an answer, a hand-over, jars back. Soonest due first.

    With their lines and moves: three queries, whatever their number.
    """
    return _with_parts(coop.jar_loans.filter(_is_open()).order_by("due_on", "id"))


def past_loans(coop: Coop) -> QuerySet[Loan]:
    """Loans that want nothing of anybody any more, the latest first."""
    return _with_parts(coop.jar_loans.exclude(_is_open()).order_by("-at", "-id"))


def of_household(household: Household) -> Q:
    """A filter: the loans on one side of which the household stands."""
    return Q(lender=household) | Q(borrower=household)


def _with_parts(loans: QuerySet[Loan]) -> QuerySet[Loan]:
    households = loans.select_related("coop", "lender", "borrower", "ended_by")
    return households.prefetch_related("lines", "moves")


def _is_open() -> Q:
    is_waiting = Q(agreed_at=None, ended_at=None)
    is_to_hand_over = Q(Exists(_lines_left()), ended_at=None, agreed_at__isnull=False)
    return is_waiting | is_to_hand_over | Q(Exists(_kinds_out()))


def _lines_left() -> QuerySet[LoanLine]:
    """Lines of the outer loan of which more may be handed over (KindStanding.to_hand_over)."""
    moves = JarMove.objects.filter(loan=OuterRef("loan"), kind=OuterRef("kind")).order_by()
    handed = moves.filter(what=What.HANDED_OVER).values("loan").annotate(jars=Sum("count"))
    return LoanLine.objects.annotate(handed=Coalesce(Subquery(handed.values("jars")), 0)).filter(
        ~Exists(moves.exclude(what=What.HANDED_OVER)), loan=OuterRef("pk"), count__gt=F("handed")
    )


def _kinds_out() -> QuerySet[JarMove, Any]:
    """Kinds of the outer loan of which the borrower has jars (KindStanding.out)."""
    signed = Case(When(what=What.HANDED_OVER, then=F("count")), default=-F("count"))
    kinds = JarMove.objects.filter(loan=OuterRef("pk")).order_by().values("loan", "kind")
    return kinds.annotate(out=Sum(signed)).filter(out__gt=0)
