"""Named errors of equipment. Each says, as a sentence, what is wrong and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from coop.people.errors import NameTaken, NotAllowed, Refused, TooLate

if TYPE_CHECKING:
    from coop.equipment.models import Thing

__all__ = [
    "AlreadyWritten",
    "NameTaken",
    "NotAllowed",
    "NotFit",
    "OutsideHours",
    "Refused",
    "StillOut",
    "Taken",
    "TooLate",
    "TooLong",
]

Span = tuple[datetime, datetime]


class Taken(TooLate):
    """Somebody has the thing at that time; `free` are the next times when it could be had."""

    def __init__(self, sentence: str, *, thing: Thing, free: Sequence[Span] = ()) -> None:
        super().__init__(sentence, field="starts_at")
        self.thing = thing
        self.free = list(free)


class NotFit(Refused):
    """The thing is out of order, or has something to see to first."""


class OutsideHours(Refused):
    """The thing may not be out at that time."""


class TooLong(Refused):
    """Longer than the thing is lent."""


class StillOut(Refused):
    """The thing has not come back from the household before."""


class AlreadyWritten(TooLate):
    """It went out, came back, or was given back already: of two at once one wins."""
