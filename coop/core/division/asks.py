"""What one household asks of one line of a buy, and what is wrong with an ask that cannot be."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from fractions import Fraction


class CannotCover(ValueError):
    """The tally is smaller than what was promised at the least; `short_by` says by how much."""

    def __init__(self, *, short_by: int) -> None:
        super().__init__(
            f"The tally is {short_by} short of everyone's minimum. Ask somebody to take less, "
            "or leave somebody out, and divide again."
        )
        self.short_by = short_by


@dataclass(frozen=True)
class Ask:
    """What one household asks, in base units of the line (a tenth of a pound, one ear).

    Parameters:
        wanted: what it would like, 0 or more; its claim under every rule.
        at_least: it must get this much, 0 (the default) or more; rounded up to its next step.
        at_most: it takes no more than this; None (the default) means `wanted`. It may be above
            `wanted`, for a household that would help with a surplus. Rounded down to its step.
        step: it takes whole multiples of this only, 1 (the default) or more; a household that takes
            whole containers has the container's size here.
        or_none: True if it may get nothing instead of `at_least`. Give `at_least` the amount wanted
            for an ask that is all or nothing.
        past_asked, past_received: what it asked and got earlier this season, 0 or more.

    An ask does not know its number, so `divide` checks it and says which one is wrong.

    >>> Ask(1000, at_least=400, step=350).lowest, Ask(1000, step=350).highest
    (700, 700)
    """

    wanted: int
    at_least: int = 0
    at_most: int | None = None
    step: int = 1
    or_none: bool = False
    past_asked: int = 0
    past_received: int = 0

    @property
    def limit(self) -> int:
        """The most that it takes, before rounding to its step."""
        return self.wanted if self.at_most is None else self.at_most

    @property
    def lowest(self) -> int:
        """The least that it takes if it takes anything, on its step."""
        return -(-self.at_least // self.step) * self.step

    @property
    def highest(self) -> int:
        """The most that it takes, on its step."""
        return self.limit // self.step * self.step

    @property
    def has_gap(self) -> bool:
        """True if it takes nothing, or at least something: not all amounts between."""
        return self.or_none and self.lowest > 0

    @property
    def promised(self) -> int:
        """What it gets in any case."""
        return 0 if self.has_gap else self.lowest

    @property
    def fill(self) -> Fraction:
        """What it got of what it asked so far this season. Who never asked is not behind: 1."""
        return Fraction(self.past_received, self.past_asked) if self.past_asked else Fraction(1)


def check_asks(asks: Sequence[Ask]) -> None:
    """Raise ValueError for the first ask that cannot be, with its number, counted from 1."""
    for number, ask in enumerate(asks, start=1):
        for problem in _problems(ask):
            raise ValueError(f"Ask {number}: {problem}")


def _problems(ask: Ask) -> Iterator[str]:
    for field in fields(ask):
        value = getattr(ask, field.name)
        label = field.name.replace("_", " ")
        if field.name == "at_most" and value is None:
            continue
        if not isinstance(value, int):
            yield f"{label} {value!r} is not a whole number"
        elif value < 0:
            yield f"{label} {value} is below zero"
    if ask.step == 0:
        yield "step 0 is not above zero"
    if ask.at_least > ask.limit:
        yield f"at least {ask.at_least} is above at most {ask.limit}"
    if ask.lowest > ask.highest:
        yield (
            f"no whole number of steps of {ask.step} lies between "
            f"at least {ask.at_least} and at most {ask.limit}"
        )
