"""What there is to tell of one loan: an ask to answer, jars to fetch, jars to give back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.urls import reverse

from coop.core import moments
from coop.jars.loan_words import ended_said
from coop.jars.models import Loan
from coop.jars.notices import kinds
from coop.jars.queries.loans import Stage, Standing, of_household, open_loans, standing_of
from coop.notices.actions.keeping import Kept, keep
from coop.notices.queries.causes import causes_told
from coop.notices.says import Say
from coop.people.models import Coop, Household, Member

CAUSE = "loan"
#: The hour of the day on which jars are due.
MORNING = time(9)


def live(coop: Coop) -> Iterable[int]:
    """Loans that want something of somebody, and those of which something stands to be told."""
    return set(open_loans(coop).values_list("pk", flat=True)) | causes_told(coop, CAUSE)


def renew(loan_id: int) -> Kept:
    """Keep what there is to tell of a loan; locked like every act on it."""
    with transaction.atomic():
        loan = (
            Loan.objects.select_for_update(of=("self",), no_key=True)
            .select_related("coop", "lender", "borrower", "agreed_by", "ended_by")
            .get(pk=loan_id)
        )
        return keep(loan.coop, f"{CAUSE}:{loan.pk}", says_of(loan))


def renew_of(household: Household) -> None:
    """Keep what is told of the loans of a household, which may have another name."""
    told = causes_told(household.coop, CAUSE)
    if told:
        loans = Loan.objects.filter(of_household(household), pk__in=told)
        for pk in loans.order_by("pk").values_list("pk", flat=True):
            renew(pk)


def says_of(loan: Loan) -> list[Say]:
    """Everything that there is to tell of it. Makes two queries."""
    return list(_says(standing_of(loan)))


def _says(standing: Standing) -> Iterator[Say]:
    loan = standing.loan
    if standing.stage is Stage.WAITING:
        yield _asked(standing)
    if loan.ended_at:
        for household, other in _told_by(loan, loan.ended_by):
            yield _ended(standing, household, other)
    elif standing.to_hand_over:
        for household, other in _told_by(loan, loan.agreed_by):
            yield _agreed(standing, household, other)
    if standing.out:
        yield from _back(standing)


def _told_by(loan: Loan, by: Member | None) -> Iterator[tuple[Household, Household]]:
    """Each side with the other, without that of whoever did it, who knows."""
    for household, other in ((loan.lender, loan.borrower), (loan.borrower, loan.lender)):
        if by is None or household.pk != by.household_id:
            yield household, other


def _asked(standing: Standing) -> Say:
    loan = standing.loan
    asks = loan.started == Loan.Started.ASKED
    household, other = (loan.lender, loan.borrower) if asks else (loan.borrower, loan.lender)
    return Say(
        "asked",
        kinds.ASKED.code,
        household,
        loan.at,
        f"{other} {'asks for' if asks else 'offers you'} {standing.agreed_said}",
        f"Say yes or no to {other}.",
        button="Answer",
        details=_lines(f"Back by {moments.day(loan.due_on)}.", loan.message),
        path=_path(loan),
    )


def _agreed(standing: Standing, household: Household, other: Household) -> Say:
    loan, lot = standing.loan, standing.to_hand_over_said
    lends = household == loan.lender
    return Say(
        f"agreed:{household.pk}",
        kinds.ASKED.code,
        household,
        _moment(loan.agreed_at),
        f"{other} borrows {lot}" if lends else f"{other} lends you {lot}",
        f"{'Hand them over to' if lends else 'Fetch them from'} {other}: {lot}.",
        button="The loan",
        details=_lines(
            "Write it down when they change hands.", f"Back by {moments.day(loan.due_on)}."
        ),
        path=_path(loan),
    )


def _ended(standing: Standing, household: Household, other: Household) -> Say:
    loan, lends = standing.loan, household == standing.loan.lender
    said = ended_said(loan, has_moved=bool(standing.latest_move))
    to_do = "Look for jars elsewhere: the table of spare jars says who has some."
    return Say(
        f"ended:{household.pk}",
        kinds.ASKED.code,
        household,
        _moment(loan.ended_at),
        f"{said.removesuffix('.')}: {standing.agreed_said}",
        f"Keep no more jars for {other}." if lends else to_do,
        button="The loan" if lends else "Spare jars",
        details=_lines(f"They were {'for' if lends else 'from'} {other}."),
        path=_path(loan) if lends else reverse("jars:spare", args=[loan.coop.slug]),
    )


def _back(standing: Standing) -> Iterator[Say]:
    """Jars that the borrower has: due that day, and late from then on."""
    loan, lot, day = standing.loan, standing.out_said, moments.day(standing.loan.due_on)
    is_one = sum(standing.out.values()) == 1
    said: dict[str, Any] = {
        "to": loan.borrower,
        "at": datetime.combine(loan.due_on, MORNING, ZoneInfo(loan.coop.time_zone)),
        "path": _path(loan),
        "button": "Give back",
    }
    yield Say(
        "due",
        kinds.DUE.code,
        title=f"{lot}: due back to {loan.lender} on {day}",
        to_do=f"Give {loan.lender} back {lot}, by {day}.",
        details=("If some broke, write that down too.",),
        **said,
    )
    yield Say(
        "late",
        kinds.LATE.code,
        title=f"{lot}: {'was' if is_one else 'were'} due back to {loan.lender} on {day}",
        to_do=f"Give {loan.lender} back {lot}.",
        details=_lines(
            f"{'It was' if is_one else 'They were'} due on {day}.",
            "If some broke, or you may keep some, have that written down.",
        ),
        **said,
    )


def _path(loan: Loan) -> str:
    return reverse("jars:loan", args=[loan.coop.slug, loan.pk])


def _moment(at: datetime | None) -> datetime:
    """Of what has happened."""
    if at is None:
        raise ValueError("It has not happened.")
    return at


def _lines(*lines: str) -> tuple[str, ...]:
    return tuple(line for line in lines if line)
