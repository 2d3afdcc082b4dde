"""The rules of dividing, one class each: the exact award, and the curve that whole steps follow."""

from collections.abc import Sequence
from enum import StrEnum
from fractions import Fraction
from math import lcm
from typing import NamedTuple, Protocol

from coop.core.division.asks import Ask
from coop.core.division.curves import Curve, last_resort
from coop.core.division.vessels import Vessel, pour

NOTHING = Fraction(0)
ONE = Fraction(1)


class Rule(StrEnum):
    """How a supply is shared among asks that it may not cover."""

    PROPORTIONAL = "proportional"
    EVEN = "even"
    EVEN_LOSS = "even_loss"
    CONCEDE = "concede"
    SEASON = "season"


class Claim(NamedTuple):
    """What one has a claim to, and its past in the season."""

    wanted: Fraction
    past_asked: int = 0
    past_received: int = 0


class Method(Protocol):
    """What each rule answers.

    `larger_first`: a tie goes to the larger ask, where a smaller one could else get more.
    """

    larger_first: bool

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """The exact award of each claim; the amount never passes the sum of the claims."""

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """The cost of each ask's share, lowest in sum when the shares follow the rule."""


class Proportional:
    """Everyone gets the same part of what it asked.

    In whole steps this is Webster's divisor method, which takes no step back when there is more.
    """

    larger_first = False

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """The same part of each claim."""
        return pour(amount, [Vessel(NOTHING, claim.wanted, claim.wanted) for claim in claims])

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """Squares of the shares over the claims. Who wants none counts as wanting one step."""
        weights = [ask.wanted or ask.step for ask in asks]
        common = lcm(*weights)
        return [Curve(common // weight) for weight in weights]


class Even:
    """Everyone gets the same amount, and nobody more than it asked: constrained equal awards."""

    larger_first = True

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """One level for all, up to the claim."""
        return _even([claim.wanted for claim in claims], amount)

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """Squares of the shares."""
        return [Curve(1) for _ in asks]


class EvenLoss:
    """Everyone goes short by the same amount, down to nothing: constrained equal losses."""

    larger_first = False

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """The claim less one loss for all, never below nothing."""
        return _even_loss([claim.wanted for claim in claims], amount)

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """Squares of what each lacks, less a constant."""
        return [Curve(1, -2 * ask.wanted) for ask in asks]


class Concede:
    """Equal awards up to half of each claim, then equal losses.

    Of two, each gets what the other concedes, and half of what both claim.

    R. J. Aumann and M. Maschler, "Game
    theoretic analysis of a bankruptcy problem from the Talmud", Journal of Economic Theory 36
    (1985) 195-213.
    """

    larger_first = True

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """Even shares of the halves first, then even losses on the other halves."""
        halves = [claim.wanted / 2 for claim in claims]
        first = min(amount, sum(halves, NOTHING))
        parts = zip(_even(halves, first), _even_loss(halves, amount - first), strict=True)
        return [early + late for early, late in parts]

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """Squares of the shares up to the half; past it, squares of what each lacks."""
        halves = halves_in_steps(asks, line)
        curves = [
            Curve(1, 0, ((half, -2 * ask.wanted),)) for ask, half in zip(asks, halves, strict=True)
        ]
        return last_resort(curves, halves, [ask.highest for ask in asks])


class Season:
    """Everyone comes as near as can be to the same fill over the season: furthest behind first.

    The fill is what one got, this time included, over what one asked, this time included.
    """

    larger_first = False

    def award(self, amount: Fraction, claims: Sequence[Claim]) -> list[Fraction]:
        """What lifts all to one fill, as far as can be; with no past, proportional."""
        return pour(amount, [self._vessel(claim) for claim in claims])

    def curves(self, asks: Sequence[Ask], line: Sequence[int]) -> list[Curve]:
        """Squares of what each got this season, over what it asked."""
        weights = [ask.past_asked + ask.wanted or ask.step for ask in asks]
        common = lcm(*weights)
        return [
            Curve(common // weight, 2 * ask.past_received * (common // weight))
            for ask, weight in zip(asks, weights, strict=True)
        ]

    @staticmethod
    def _vessel(claim: Claim) -> Vessel:
        season = claim.past_asked + claim.wanted or ONE
        return Vessel(claim.past_received / season, season, claim.wanted)


METHODS: dict[Rule, Method] = {
    Rule.PROPORTIONAL: Proportional(),
    Rule.EVEN: Even(),
    Rule.EVEN_LOSS: EvenLoss(),
    Rule.CONCEDE: Concede(),
    Rule.SEASON: Season(),
}


def halves_in_steps(asks: Sequence[Ask], line: Sequence[int]) -> list[int]:
    """Half of each claim in whole steps, the nearest one.

    Where two are equally near, halves go down and up in turn, from the smallest claim to the
    largest (equal claims in their line), so that rounding never piles up.

    >>> halves_in_steps([Ask(3), Ask(8), Ask(1), Ask(3)], [0, 1, 2, 3])
    [2, 4, 0, 1]
    """
    halves = [0] * len(asks)
    goes_up: dict[int, bool] = {}
    for position in sorted(line, key=lambda position: asks[position].wanted):
        ask = asks[position]
        steps, rest = divmod(ask.wanted, 2 * ask.step)
        if rest == ask.step:
            goes_up[ask.step] = not goes_up.get(ask.step, True)
        up = goes_up[ask.step] if rest == ask.step else rest > ask.step
        halves[position] = (steps + up) * ask.step
    return halves


def _even(claims: Sequence[Fraction], amount: Fraction) -> list[Fraction]:
    return pour(amount, [Vessel(NOTHING, ONE, claim) for claim in claims])


def _even_loss(claims: Sequence[Fraction], amount: Fraction) -> list[Fraction]:
    """Hung from one height: the largest claim begins to fill first, and all come full together."""
    largest = max(claims, default=NOTHING)
    return pour(amount, [Vessel(largest - claim, ONE, claim) for claim in claims])
