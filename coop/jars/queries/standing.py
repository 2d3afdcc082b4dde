"""Where the jars of a loan are: promised, out, back, broken, kept. All of it from its moves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property

from coop.jars.kinds import KINDS
from coop.jars.loan_words import lot_said
from coop.jars.models import JarMove, Loan
from coop.people.models import Household

What = JarMove.What


class Stage(StrEnum):
    """How far a loan has come."""

    WAITING = "waiting"  # for the other side's answer
    AGREED = "agreed"  # and jars are to be handed over
    OUT = "out"
    DONE = "done"  # nothing is out, nothing more is handed over
    ENDED = "ended"  # before any jar changed hands


@dataclass(frozen=True)
class KindStanding:
    """Where the jars of one kind of a loan are, in jars."""

    kind: str
    agreed: int
    handed_over: int = 0
    returned: int = 0
    broken: int = 0
    kept: int = 0

    @property
    def label(self) -> str:
        return KINDS[self.kind]

    @property
    def out(self) -> int:
        """Jars that the borrower has."""
        return self.handed_over - self.gone

    @property
    def gone(self) -> int:
        """Jars that have ended their way: back, broken or kept."""
        return self.returned + self.broken + self.kept

    @property
    def to_hand_over(self) -> int:
        """Jars that may still be handed over, while the loan has not ended.

        Once jars of a kind begin to come back, no more of it are handed over: the lender can
        spare them again.
        """
        return 0 if self.gone else self.agreed - self.handed_over


@dataclass(frozen=True)
class Standing:
    """A loan and where its jars are, by kind."""

    loan: Loan
    kinds: tuple[KindStanding, ...]
    latest_move: int = 0  # its id; 0 before the first

    @cached_property
    def out(self) -> dict[str, int]:
        """Jars that the borrower has, by kind."""
        return {each.kind: each.out for each in self.kinds if each.out}

    @cached_property
    def to_hand_over(self) -> dict[str, int]:
        """Jars agreed to that the lender still has, by kind."""
        if self.loan.ended_at or not self.loan.agreed_at:
            return {}
        return {each.kind: each.to_hand_over for each in self.kinds if each.to_hand_over > 0}

    @property
    def agreed(self) -> dict[str, int]:
        """What the loan is about, by kind."""
        return {each.kind: each.agreed for each in self.kinds}

    @property
    def stage(self) -> Stage:
        """How far the loan has come."""
        if self.out:
            return Stage.OUT
        if self.latest_move:
            return Stage.AGREED if self.to_hand_over else Stage.DONE
        if self.loan.ended_at:
            return Stage.ENDED
        return Stage.AGREED if self.loan.agreed_at else Stage.WAITING

    def is_overdue(self, today: date) -> bool:
        """Whether jars are out past the day that they should be back."""
        return bool(self.out) and self.loan.due_on < today

    @property
    def has_broken(self) -> bool:
        return any(each.broken for each in self.kinds)

    @property
    def has_kept(self) -> bool:
        return any(each.kept for each in self.kinds)

    # Words for templates.
    @property
    def agreed_said(self) -> str:
        return lot_said(self.agreed)

    @property
    def out_said(self) -> str:
        return lot_said(self.out)

    @property
    def to_hand_over_said(self) -> str:
        return lot_said(self.to_hand_over)


@dataclass(frozen=True)
class Side:
    """A loan as one household sees it."""

    standing: Standing
    household: Household
    today: date

    @property
    def loan(self) -> Loan:
        return self.standing.loan

    @property
    def is_lender(self) -> bool:
        return self.loan.lender_id == self.household.pk

    @property
    def is_ours(self) -> bool:
        """Whether the household stands on either side."""
        return self.household.pk in {self.loan.lender_id, self.loan.borrower_id}

    @property
    def other(self) -> Household:
        """The household on the other side."""
        return self.loan.borrower if self.is_lender else self.loan.lender

    @property
    def is_to_answer(self) -> bool:
        """Whether the loan waits for this household's yes or no."""
        was_asked = self.loan.started == Loan.Started.ASKED
        answerer = self.loan.lender_id if was_asked else self.loan.borrower_id
        return self.standing.stage == Stage.WAITING and answerer == self.household.pk

    @property
    def is_overdue(self) -> bool:
        return self.standing.is_overdue(self.today)

    @property
    def place(self) -> tuple[int, date, int]:
        """Overdue first, then what this household has to do."""
        stage = self.standing.stage
        rank = 4
        if self.is_overdue:
            rank = 0
        elif self.is_to_answer:
            rank = 1
        elif stage in {Stage.AGREED, Stage.OUT}:
            rank = 2 if stage == Stage.AGREED else 3
        return rank, self.loan.due_on, self.loan.pk


def standing_of(loan: Loan) -> Standing:
    """Where the jars of a loan are; reads its lines and moves."""
    moved: Counter[tuple[str, str]] = Counter()
    moves = list(loan.moves.all())
    for move in moves:
        moved[move.kind, move.what] += move.count
    agreed = {line.kind: line.count for line in loan.lines.all()}
    kinds = tuple(
        KindStanding(kind, agreed[kind], **{str(what): moved[kind, what] for what in What})
        for kind in KINDS
        if kind in agreed
    )
    return Standing(loan, kinds, max((move.pk for move in moves), default=0))


def sides_of(loans: Iterable[Loan], household: Household, today: date) -> list[Side]:
    """Loans as a household sees them: the overdue first, then what it has to do."""
    sides = [Side(standing_of(loan), household, today) for loan in loans]
    return sorted(sides, key=lambda side: side.place)
