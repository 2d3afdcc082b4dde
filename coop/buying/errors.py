"""Named errors of buying. Each says, as a sentence, what is wrong and what to do."""

from coop.people.errors import NotAllowed, Refused, TooLate

__all__ = [
    "AsksClosed",
    "CannotCover",
    "NotAllowed",
    "NotCovered",
    "Refused",
    "TooLate",
    "WrongStage",
]


class WrongStage(TooLate):
    """The buy is past this step, or not there yet."""


class AsksClosed(TooLate):
    """Asks are closed; a change needs a taker."""


class NotCovered(Refused):
    """The buy states that it is called in only once covered, and it is not."""


class CannotCover(Refused):
    """The tally is smaller than what the asks were promised at the least."""
