"""Named errors of the kitchen. Each says, as a sentence, what is wrong and what to do."""

from coop.people.errors import NotAllowed, Refused, TooLate

__all__ = [
    "AlreadyPlanned",
    "AlreadyPutUp",
    "FellShort",
    "NeedsAcid",
    "NotAllowed",
    "NotPublished",
    "PlanDropped",
    "Refused",
    "TooEarly",
    "TooLate",
]


class AlreadyPlanned(TooLate):
    """The share has its plan; `plan_id` is that of the plan."""

    def __init__(self, sentence: str, *, plan_id: int) -> None:
        super().__init__(sentence)
        self.plan_id = plan_id


class PlanDropped(TooLate):
    """The plan was dropped, so nothing of it is changed any more."""


class AlreadyPutUp(TooLate):
    """It was put up, or jars stand under it: what was done is not planned anew."""


class NotPublished(Refused):
    """No table has this way of keeping this food at this altitude."""


class NeedsAcid(Refused):
    """Acid goes into each jar, and none of the listed ones was chosen."""


class FellShort(Refused):
    """A load ran shorter or cooler than published, or held more than a canner takes.

    Nobody has said yet that it really did.
    """


class TooEarly(TooLate):
    """The jars still have to stand: seals are tried later."""
