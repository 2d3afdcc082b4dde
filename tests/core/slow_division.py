"""Dividing, slowly and obviously, and a checker that judges any division by the laws alone."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product

from coop.core.division import Ask, Rule

NO_PAST_IS_FULL = Fraction(1)


# ---- Awards by their definitions ------------------------------------------------------------
def level_by_halving(amount: Fraction, content) -> Fraction:
    """The level at which `content`, which never falls, comes to `amount`, very nearly."""
    low, high = Fraction(0), Fraction(1)
    while content(high) < amount:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if content(middle) < amount else (low, middle)
    return high


def slow_awards(amount: Fraction, claims: Sequence[Fraction], rule: Rule) -> list[Fraction]:
    """What the definition of each rule says, by halving to within some billionths."""
    total = sum(claims)
    if rule in {Rule.PROPORTIONAL, Rule.SEASON}:
        return [claim * amount / total if total else Fraction(0) for claim in claims]
    if rule == Rule.EVEN:
        level = level_by_halving(amount, lambda each: sum(min(c, each) for c in claims))
        return [min(claim, level) for claim in claims]
    if rule == Rule.EVEN_LOSS:
        loss = level_by_halving(total - amount, lambda each: sum(min(c, each) for c in claims))
        return [max(claim - loss, Fraction(0)) for claim in claims]
    halves = [claim / 2 for claim in claims]
    if amount <= total / 2:
        return slow_awards(amount, halves, Rule.EVEN)
    lost = slow_awards(total - amount, halves, Rule.EVEN)
    return [claim - loss for claim, loss in zip(claims, lost, strict=True)]


# ---- Shares by trying everything ------------------------------------------------------------
def choices(ask: Ask) -> list[int]:
    """Every share that an ask can have."""
    top = ask.wanted if ask.at_most is None else ask.at_most
    shares = [share for share in range(ask.at_least, top + 1) if share % ask.step == 0]
    return sorted({0, *shares}) if ask.or_none else shares


def line_of(asks: Sequence[Ask], rule: Rule, tie_order: Sequence[int]) -> list[int]:
    def place(position: int) -> tuple:
        ask = asks[position]
        fill = NO_PAST_IS_FULL
        if ask.past_asked:
            fill = Fraction(ask.past_received, ask.past_asked)
        larger = -ask.wanted if rule in {Rule.EVEN, Rule.CONCEDE} else 0
        return larger, fill, tie_order.index(position)

    return sorted(range(len(asks)), key=place)


def rounded_halves(asks: Sequence[Ask], line: Sequence[int]) -> list[int]:
    """Half of each claim to the nearest step; odd ones go down and up in turn, smallest first."""
    halves = {}
    turn = dict.fromkeys({ask.step for ask in asks}, 0)
    for position in sorted(line, key=lambda who: (asks[who].wanted, line.index(who))):
        ask = asks[position]
        half = Fraction(ask.wanted, 2 * ask.step)
        nearest = round(half)
        if half.denominator == 2 and half % 1 == Fraction(1, 2):
            nearest = int(half - Fraction(1, 2)) + (turn[ask.step] == 1)
            turn[ask.step] = 1 - turn[ask.step]
        halves[position] = nearest * ask.step
    return [halves[position] for position in range(len(asks))]


def distance(shares: Sequence[int], asks: Sequence[Ask], rule: Rule, line: Sequence[int]) -> tuple:
    """How far from the rule shares are, by the words of `divide`; less is closer."""
    pairs = list(zip(shares, asks, strict=True))
    past_wanted = sum(max(share - ask.wanted, 0) for share, ask in pairs)
    if rule == Rule.PROPORTIONAL:
        return past_wanted, sum(Fraction(x * x, ask.wanted or ask.step) for x, ask in pairs)
    if rule == Rule.EVEN:
        return past_wanted, sum(x * x for x, _ in pairs)
    if rule == Rule.EVEN_LOSS:
        return past_wanted, sum((ask.wanted - x) ** 2 for x, ask in pairs)
    if rule == Rule.SEASON:
        return past_wanted, sum(
            Fraction((ask.past_received + x) ** 2, ask.past_asked + ask.wanted or ask.step)
            for x, ask in pairs
        )
    halves = rounded_halves(asks, line)
    past_half = sum(max(x - half, 0) for x, half in zip(shares, halves, strict=True))
    squares = 0
    for (share, ask), half in zip(pairs, halves, strict=True):
        squares += min(share, half) ** 2
        if share > half:
            squares += (ask.wanted - share) ** 2 - (ask.wanted - half) ** 2
    return past_wanted, past_half, squares


def slow_divide(
    amount: int, asks: Sequence[Ask], rule: Rule, tie_order: Sequence[int] | None = None
) -> list[int] | None:
    """The best of all divisions there are, or None if the minimums do not fit."""
    line = line_of(asks, rule, list(range(len(asks)) if tie_order is None else tie_order))

    def worth(shares: Sequence[int]) -> tuple:
        first_in_line = tuple(-shares[position] for position in line)
        return amount - sum(shares), distance(shares, asks, rule, line), first_in_line

    fitting = [x for x in product(*map(choices, asks)) if sum(x) <= amount]
    return list(min(fitting, key=worth)) if fitting else None


# ---- Judging any answer ---------------------------------------------------------------------
def broken_laws(
    amount: int, asks: Sequence[Ask], shares: Sequence[int], left_over: int
) -> Iterator[str]:
    """Each law of every division that these shares break, whatever the rule."""
    if sum(shares) + left_over != amount or left_over < 0:
        yield "shares and what is left over do not add up to the tally"
    for number, (share, ask) in enumerate(zip(shares, asks, strict=True), start=1):
        if share not in choices(ask):
            yield f"ask {number} cannot have {share}"
        elif any(share < more <= share + left_over for more in choices(ask)):
            yield f"ask {number} could take more of what is left over"
    for share, ask in zip(shares, asks, strict=True):
        for other, same in zip(shares, asks, strict=True):
            if ask == same and not ask.or_none and abs(share - other) > ask.step:
                yield "equal asks differ by more than a step"
