"""Dividing a tally in whole steps: everyone's minimum, the least left over, then the rule."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice

from coop.core.division.asks import Ask, CannotCover, check_asks
from coop.core.division.choose import TooMany, cheapest, most_in_all
from coop.core.division.curves import Curve, last_resort, untied
from coop.core.division.held import held_order, may_stray
from coop.core.division.parts import parts_of
from coop.core.division.rules import METHODS, Claim, Rule
from coop.core.division.settle import settle


@dataclass(frozen=True)
class Division:
    """Who gets what of a tally, in base units, in the order of the asks.

    `shares` and `left_over` add up to the tally. `award` is what the rule names exactly for the
    amounts wanted, whatever the bounds and steps; `short` is how far each share is below what was
    wanted. `exact` is True if no other division leaves less over, or as little and keeps closer to
    the rule; else `settled_for` is a sentence that says what was settled for (it is empty
    otherwise).
    """

    shares: list[int]
    left_over: int
    award: list[Fraction]
    short: list[int]
    exact: bool = True
    settled_for: str = ""


def divide(
    amount: int, asks: Sequence[Ask], rule: Rule, tie_order: Sequence[int] | None = None
) -> Division:
    """Divide `amount` among `asks` by `rule`, in whole steps.

    Parameters:
        amount: the tally in base units, 0 or more.
        asks: one for each household, in the same base units; see `Ask`.
        rule: PROPORTIONAL, EVEN, EVEN_LOSS, CONCEDE or SEASON.
        tie_order: the positions of the asks, first in line first; None (the default) is their own
            order. Give another one each time, so that luck goes round.

    Returns: the division that, in this order,

    1. gives everyone at least its `at_least` (an `or_none` ask may get nothing instead), and nobody
       more than its `at_most`, each in whole multiples of its own step;
    2. leaves over as little as can be;
    3. gives as little as can be past what is wanted;
    4. keeps closest to the rule: it makes smallest the sum, over the asks, of share²/wanted
       (PROPORTIONAL), share² (EVEN), (wanted - share)² (EVEN_LOSS), or (past received + share)² /
       (past asked + wanted) (SEASON). CONCEDE first gives as little as can be past the halves of
       what is wanted (in whole steps), then levels shares below and losses above;
    5. of equals, gives most to the first in line, then to the second, and so on. The line goes by
       the lowest fill of the season so far (who asked nothing yet is not behind), then by
       `tie_order`; for EVEN and CONCEDE by the larger ask before either, so that it never gets
       less.

    Among asks of one step this is handing out step by step to whoever is furthest from what the
    rule names: equal asks differ by one step at most, and if all steps are equal and no ask is
    `or_none`, more produce never gives anyone less. Where asks have one step and no bounds, shares
    are within one step of the exact award for EVEN, EVEN_LOSS and CONCEDE. PROPORTIONAL, and
    SEASON without a past, is Webster's method, held within two steps of the award in the rare case
    that it would stray further.

    Raises: ValueError naming the ask that cannot be ("Ask 3: at least 4 is above at most 2"), or
    for an amount or a tie order that is none; CannotCover, with `short_by`, when `amount` is less
    than all that is promised.

    Source: the greedy method for separable convex sums, T. Ibaraki and N. Katoh, "Resource
    Allocation Problems" (MIT Press, 1988) [from memory]; dynamic programming over the asks that
    take whole containers or all or nothing.

    >>> divide(10, [Ask(8), Ask(4), Ask(3)], Rule.PROPORTIONAL).shares
    [5, 3, 2]
    >>> divide(1000, [Ask(700, step=350), Ask(500), Ask(500)], Rule.EVEN).shares
    [350, 325, 325]
    """
    _check(amount, asks, tie_order)
    spare = amount - sum(ask.promised for ask in asks)
    if spare < 0:
        raise CannotCover(short_by=-spare)
    line = _line_up(asks, rule, tie_order)
    if _may_stray(amount, asks, rule):
        shares, settled_for = _hold(amount, asks, line), ""
    else:
        shares, settled_for = _share_out(spare, asks, _curves(asks, rule, line))
    return Division(
        shares=shares,
        left_over=amount - sum(shares),
        award=_award(amount, asks, rule),
        short=[max(ask.wanted - share, 0) for ask, share in zip(asks, shares, strict=True)],
        exact=not settled_for,
        settled_for=settled_for,
    )


def _check(amount: int, asks: Sequence[Ask], tie_order: Sequence[int] | None) -> None:
    if not isinstance(amount, int):
        raise ValueError(f"The amount {amount!r} is not a whole number.")
    if amount < 0:
        raise ValueError(f"The amount {amount} is below zero.")
    check_asks(asks)
    if tie_order is not None and sorted(tie_order) != list(range(len(asks))):
        raise ValueError(
            f"The tie order {list(tie_order)} does not have each position from 0 to "
            f"{len(asks) - 1} once."
        )


def _line_up(asks: Sequence[Ask], rule: Rule, tie_order: Sequence[int] | None) -> list[int]:
    """All positions, first in line first."""
    larger_first = METHODS[rule].larger_first

    def before(position: int) -> tuple[int, Fraction]:
        ask = asks[position]
        return -ask.wanted if larger_first else 0, ask.fill

    return sorted(range(len(asks)) if tie_order is None else tie_order, key=before)


def _curves(asks: Sequence[Ask], rule: Rule, line: Sequence[int]) -> list[Curve]:
    """The rule's curves, past what is wanted in the last resort only, and with no ties left."""
    curves = METHODS[rule].curves(asks, line)
    highest = [ask.highest for ask in asks]
    if any(ask.highest > ask.wanted for ask in asks):
        curves = last_resort(curves, [ask.wanted for ask in asks], highest)
    return untied(curves, line, highest)


def _share_out(spare: int, asks: Sequence[Ask], curves: Sequence[Curve]) -> tuple[list[int], str]:
    """The shares when `spare` goes out above what is promised, and what they were settled for."""
    parts = parts_of(spare, asks, curves)
    most = most_in_all(spare, parts)
    try:
        places = cheapest(most, parts)
    except TooMany:
        shares = settle(spare, asks, curves)
        given = sum(shares) - sum(ask.promised for ask in asks)
        return shares, _what_was_settled_for(spare - given, spare - most)
    shares = [ask.promised for ask in asks]
    for part, place in zip(parts, places, strict=True):
        for position, further in part.further(place).items():
            shares[position] += further
    return shares, ""


def _what_was_settled_for(left_over: int, needed: int) -> str:
    if left_over > needed:
        return (
            f"There are too many combinations to try them all. This one leaves {left_over} over; "
            f"some other leaves {needed}, and may be found by hand."
        )
    return (
        "There are too many combinations to try them all. No other leaves less over, but some "
        "other may keep closer to the rule."
    )


def _may_stray(amount: int, asks: Sequence[Ask], rule: Rule) -> bool:
    """True for a shortage that Webster's method may stray on: one step, and no bounds."""
    no_past = not any(ask.past_asked or ask.past_received for ask in asks)
    if rule != Rule.PROPORTIONAL and not (rule == Rule.SEASON and no_past):
        return False
    if len({ask.step for ask in asks}) != 1 or amount >= sum(ask.wanted for ask in asks):
        return False
    free = all(ask.at_least == 0 and ask.limit >= ask.wanted for ask in asks)
    whole = all(ask.wanted % ask.step == 0 for ask in asks)
    return free and whole and may_stray(_units(asks), ragged=asks[0].step > 1)


def _hold(amount: int, asks: Sequence[Ask], line: Sequence[int]) -> list[int]:
    step = asks[0].step
    shares = [0] * len(asks)
    order = held_order(_units(asks), line, ragged=step > 1)
    for who in islice(order, amount // step):
        shares[who] += step
    return shares


def _units(asks: Sequence[Ask]) -> list[int]:
    return [ask.wanted // ask.step for ask in asks]


def _award(amount: int, asks: Sequence[Ask], rule: Rule) -> list[Fraction]:
    wanted = sum(ask.wanted for ask in asks)
    claims = [Claim(Fraction(ask.wanted), ask.past_asked, ask.past_received) for ask in asks]
    return METHODS[rule].award(Fraction(min(amount, wanted)), claims)
