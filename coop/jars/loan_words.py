"""Jars in words, as sentences say them: 24 quarts, wide mouth."""

from __future__ import annotations

from collections.abc import Mapping

from coop.core.figures import counted
from coop.jars.kinds import KINDS, Size, size_and_mouth
from coop.jars.models import JarMove, Loan

#: What one jar of a size is called in a sentence; the others go by their label.
NOUNS = {Size.TWELVE_OUNCE: "twelve-ounce jar", Size.PINT_AND_HALF: "pint-and-a-half jar"}


def jars_said(kind: str, count: int) -> str:
    """So many jars of one kind.

    >>> jars_said("quart_wide", 24), jars_said("twelve_ounce_regular", 1)
    ('24 quarts, wide mouth', '1 twelve-ounce jar, regular mouth')
    """
    size, mouth = size_and_mouth(kind)
    return f"{counted(count, NOUNS.get(size, str(size.label)))}, {mouth.label}"


def lot_said(counts: Mapping[str, int]) -> str:
    """Jars of several kinds, in the order of the kinds; those of which there are none left out.

    >>> lot_said({"quart_wide": 24, "pint_regular": 12, "pint_wide": 0})
    '12 pints, regular mouth, and 24 quarts, wide mouth'
    """
    said = [jars_said(kind, counts[kind]) for kind in KINDS if counts.get(kind)]
    # A kind has a comma in it, so three of them are set apart by more than a comma.
    return "; ".join([*said[:-2], ", and ".join(said[-2:])]) if said else "no jars"


def began_said(loan: Loan, counts: Mapping[str, int]) -> str:
    """How a loan began."""
    if loan.started == Loan.Started.ASKED:
        return f"{loan.borrower} asked {loan.lender} for {lot_said(counts)}."
    return f"{loan.lender} offered {loan.borrower} {lot_said(counts)}."


def agreed_said(loan: Loan) -> str:
    """That the other side said yes."""
    asked = loan.started == Loan.Started.ASKED
    return f"{loan.lender if asked else loan.borrower} said yes."


def ended_said(loan: Loan, *, has_moved: bool) -> str:
    """How a loan ended; `has_moved`: some of its jars had changed hands."""
    if has_moved:
        return "No more is handed over."
    if loan.agreed_at:
        return "Called off before any jar changed hands."
    asked = loan.started == Loan.Started.ASKED
    starter, answerer = (loan.borrower, loan.lender) if asked else (loan.lender, loan.borrower)
    who = loan.ended_by.household_id if loan.ended_by else None
    if who == starter.pk:
        return f"{starter} took the {'ask' if asked else 'offer'} back."
    return f"{answerer} said no." if who == answerer.pk else "Called off by a coordinator."


def move_said(loan: Loan, what: str, counts: Mapping[str, int]) -> str:
    """What happened to jars of a loan."""
    lot, is_one = lot_said(counts), sum(counts.values()) == 1
    return {
        JarMove.What.HANDED_OVER: f"{lot}, {'was' if is_one else 'were'} handed over.",
        JarMove.What.RETURNED: f"{lot}, came back.",
        JarMove.What.BROKEN: f"{lot}, broke.",
        JarMove.What.KEPT: f"{loan.borrower} may keep {lot}.",
    }[JarMove.What(what)]
