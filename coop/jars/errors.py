"""Named errors of jars. Each says, as a sentence, what is wrong and what to do."""

from coop.people.errors import NotAllowed, Refused, TooLate

__all__ = ["NotAllowed", "NotSpare", "Refused", "TooLate"]


class NotSpare(Refused):
    """More jars than the lender can spare now."""
