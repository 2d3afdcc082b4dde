"""What happened to a loan, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from coop.jars.loan_words import agreed_said, began_said, ended_said, move_said
from coop.jars.models import JarMove, Loan
from coop.people.models import Member


@dataclass(frozen=True)
class Event:
    """One thing that happened, who wrote it and when."""

    sentence: str
    at: datetime
    by: Member | None
    note: str = ""


def story_of(loan: Loan) -> list[Event]:
    """Everything that happened to a loan, in order. Makes no query on one from `loan_for`."""
    return sorted(_events(loan), key=lambda event: event.at)


def _events(loan: Loan) -> Iterator[Event]:
    counts = {line.kind: line.count for line in loan.lines.all()}
    yield Event(began_said(loan, counts), loan.at, loan.by, loan.message)
    if loan.agreed_at:
        yield Event(agreed_said(loan), loan.agreed_at, loan.agreed_by)
    moves = list(loan.moves.all())
    for (at, what, _), rows in groupby(moves, _act):
        yield _moved(loan, what, at, list(rows))
    if loan.ended_at:
        yield Event(ended_said(loan, has_moved=bool(moves)), loan.ended_at, loan.ended_by)


def _act(move: JarMove) -> tuple[datetime, str, int]:
    """Rows of one act have one moment, one kind of move and one member."""
    return move.at, move.what, move.by_id


def _moved(loan: Loan, what: str, at: datetime, moves: list[JarMove]) -> Event:
    counts: dict[str, int] = {}
    for move in moves:
        counts[move.kind] = counts.get(move.kind, 0) + move.count
    return Event(move_said(loan, what, counts), at, moves[0].by, moves[0].note)
