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
