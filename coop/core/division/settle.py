"""A good division where the best one would take too long to prove."""

from collections.abc import Sequence
from fractions import Fraction
from heapq import heapify, heappop, heappush

from coop.core.division.asks import Ask
from coop.core.division.curves import Curve


def settle(amount: int, asks: Sequence[Ask], curves: Sequence[Curve]) -> list[int]:
    """Shares that hand out `amount` above the promised ones, one move at a time.

    Each time the move goes to whoever it raises least for each base unit: a step, or the whole jump
    of an ask that takes nothing or at least something. A move that does not fit any more is
    dropped. Every bound is kept; what is left over may be more than it needs to be.

    >>> settle(10, [Ask(6, at_least=6, or_none=True), Ask(9, step=3)], [Curve(1), Curve(1)])
    [6, 3]
    """
    shares = [ask.promised for ask in asks]
    queue = [
        (_rise(ask, curves[position], ask.promised), position)
        for position, ask in enumerate(asks)
        if ask.promised < ask.highest
    ]
    heapify(queue)
    left = amount
    while queue:
        _, position = heappop(queue)
        ask, share = asks[position], shares[position]
        move = _move(ask, share)
        if move > left:
            continue
        left -= move
        shares[position] += move
        if shares[position] < ask.highest:
            heappush(queue, (_rise(ask, curves[position], shares[position]), position))
    return shares


def _move(ask: Ask, share: int) -> int:
    return ask.lowest if ask.has_gap and share == 0 else ask.step


def _rise(ask: Ask, curve: Curve, share: int) -> Fraction:
    move = _move(ask, share)
    return Fraction(curve.cost(share + move) - curve.cost(share), move)
