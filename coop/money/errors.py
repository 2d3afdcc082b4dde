"""Named errors of the books. Each says, as a sentence, what is wrong and what to do."""

from coop.people.errors import NotAllowed, Refused, TooLate

__all__ = [
    "AlreadyEntered",
    "AlreadyReversed",
    "BooksNotReady",
    "NotAllowed",
    "PaymentSettled",
    "Refused",
    "RoundGone",
    "TooLate",
]


class AlreadyReversed(TooLate):
    """An entry is put right once; its reversal cannot be reversed again."""


class AlreadyEntered(TooLate):
    """The same form was sent twice; the first one counts."""


class PaymentSettled(TooLate):
    """The payment was marked, taken back or confirmed by somebody else a moment before."""


class RoundGone(TooLate):
    """The round of squaring up was withdrawn, or somebody made another at the same moment."""


class BooksNotReady(Refused):
    """Squaring up must wait; `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons
