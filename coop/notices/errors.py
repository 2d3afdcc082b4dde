"""Why a letter, or one more try of a mail, cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coop.people.errors import Refused, TooLate

if TYPE_CHECKING:
    from coop.notices.models import Writing


class NobodyThere(Refused):
    """Nobody is in the part of the circle that a letter is for."""

    def __init__(self) -> None:
        super().__init__("Nobody is among them now. Choose who gets it.", field="part")


class ReachChanged(Refused):
    """Other people would get the letter than those that were looked at."""

    def __init__(self) -> None:
        super().__init__(
            "Who gets it has changed since you looked. Look at the list again, then send it."
        )


class AlreadyWritten(TooLate):
    """The same form was sent before; `writing` is the letter that came of it."""

    def __init__(self, writing: Writing) -> None:
        super().__init__(
            "This letter went out a moment ago, once. To write another, begin a new one."
        )
        self.writing = writing


class NothingToSend(TooLate):
    """All that a refused mail said has gone, or its time has passed."""

    def __init__(self) -> None:
        super().__init__("What this mail said no longer stands. There is nothing to send again.")
