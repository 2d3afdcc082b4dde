"""What an action raises when it cannot be done. The text is a sentence for the person who asked."""


class Refused(Exception):
    """An act that the rules of the co-op do not allow; nothing was saved.

    `field` names the form field that the sentence belongs beside, when there is one.
    """

    def __init__(self, sentence: str, *, field: str | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class NotAllowed(Refused):
    """The member may see this but not do it. Pages answer 403 with the sentence."""


class TooLate(Refused):
    """Somebody else was first, or the moment has passed. Pages answer 409 with the sentence."""


class NameTaken(Refused):
    """Another household, or another co-op, has this name or address."""


class LastCoordinator(Refused):
    """The co-op would be left without a coordinator."""


class StillOpen(Refused):
    """The household owes, is owed, or has something to fetch; `reasons` are sentences."""

    def __init__(self, reasons: list[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


class AlreadyMember(Refused):
    """Whoever was invited is a member of this co-op already."""


class TooMany(Refused):
    """Too many letters in too short a time."""


class InvitationGone(TooLate):
    """The invitation was used, was withdrawn, or has expired."""


class WrongAddress(Refused):
    """The invitation was sent to another address than the one that is signed in."""
