"""Jars of a loan change hands: handed over, returned, broken, kept. Each move is a row for ever."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.jars import rights
from coop.jars.errors import Refused, TooLate
from coop.jars.loan_words import jars_said, move_said
from coop.jars.models import JarMove, Loan
from coop.jars.notices import loans as notices
from coop.jars.queries.loans import Standing, lock_loan, standing_of
from coop.people.changes import record_change
from coop.people.models import Member
from coop.people.rights import require

What = JarMove.What
EITHER_SIDE = "That is for the two households of the loan, or for a coordinator."
LENDER_ONLY = "Whose jars they are says whether they may be kept."


@dataclass(frozen=True)
class Told:
    """What a member writes down: jars by kind, a note, and what they had seen.

    `seen` is the id of the newest move on the page that they wrote on (0: there was none). Where
    another has come since, nothing is written: so the same form sent twice counts once. None is
    not checked.
    """

    counts: Mapping[str, int]
    note: str = ""
    seen: int | None = None


def hand_over(loan_id: int, told: Told, *, by: Member) -> list[JarMove]:
    """Jars go from the lender to the borrower. Raises NotAllowed, Refused, TooLate."""
    return _move(loan_id, What.HANDED_OVER, told, by=by)


def take_back(loan_id: int, told: Told, *, by: Member) -> list[JarMove]:
    """Jars come back to the lender. Raises NotAllowed, Refused, TooLate."""
    return _move(loan_id, What.RETURNED, told, by=by)


def write_broken(loan_id: int, told: Told, *, by: Member) -> list[JarMove]:
    """Jars that are out broke. Raises NotAllowed, Refused, TooLate."""
    return _move(loan_id, What.BROKEN, told, by=by)


def let_keep(loan_id: int, told: Told, *, by: Member) -> list[JarMove]:
    """The lender lets the borrower keep jars. Raises NotAllowed, Refused, TooLate."""
    return _move(loan_id, What.KEPT, told, by=by)


def possible(standing: Standing, what: str) -> dict[str, int]:
    """How many jars of each kind a move may be about."""
    return standing.to_hand_over if what == What.HANDED_OVER else standing.out


def _move(loan_id: int, what: What, told: Told, *, by: Member) -> list[JarMove]:
    with transaction.atomic():
        loan = lock_loan(by, loan_id)
        require(rights.can_write_on(by, loan), EITHER_SIDE)
        if what == What.KEPT:
            require(rights.can_give_away(by, loan), LENDER_ONLY)
        counts = _checked(standing_of(loan), what, told)
        moves = _write(loan, what, counts, note=told.note, by=by)
        sentence = move_said(loan, what, counts)
        record_change(loan, sentence, coop=loan.coop, by=by, after={"what": what, "jars": counts})
        notices.renew(loan.pk)
        return moves


def _checked(standing: Standing, what: What, told: Told) -> dict[str, int]:
    """The jars to write down, by kind."""
    may = possible(standing, what)
    if not may:
        raise TooLate(_nothing_left(standing.loan, what))
    if told.seen is not None and told.seen != standing.latest_move:
        raise TooLate(
            "Somebody else wrote on this loan since you opened it. Look at how it stands, then "
            "write down what is still missing."
        )
    counts = {kind: count for kind, count in told.counts.items() if count}
    if not counts or min(counts.values()) < 0:
        raise Refused("Say how many jars, of one kind at the least.")
    for kind, count in counts.items():
        left = may.get(kind, 0)
        if count > left:
            where = "left to hand over" if what == What.HANDED_OVER else "out"
            said = f"{jars_said(kind, left)}, {'is' if left == 1 else 'are'} {where}"
            raise Refused(f"{said}: that many, or fewer.", field=kind)
    return counts


def _nothing_left(loan: Loan, what: What) -> str:
    if not loan.agreed_at:
        return "Nobody has said yes to this loan yet."
    if what != What.HANDED_OVER:
        return "None of these jars are out: somebody has written all of them down."
    if loan.ended_at:
        return f"{loan.ended_by} ended it: nothing more is handed over."
    return "All of it is handed over already."


def _write(
    loan: Loan, what: What, counts: Mapping[str, int], *, note: str, by: Member
) -> list[JarMove]:
    now = timezone.now()  # one moment for the rows of one act: they are told as one
    rows = [
        JarMove(loan=loan, kind=kind, what=what, count=count, note=note, at=now, by=by)
        for kind, count in counts.items()
    ]
    try:
        with transaction.atomic():
            return JarMove.objects.bulk_create(rows)
    except IntegrityError as refusal:
        raise TooLate("Somebody was first. Look at how the loan stands now.") from refusal
