"""The parts of a division: asks that share one step go together, an ask with a gap stands alone.

A part knows which amounts it can take in all, what each costs, and who then gets what.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heapreplace
from itertools import accumulate, islice

from coop.core.division.asks import Ask
from coop.core.division.curves import Curve


@dataclass(frozen=True)
class Part:
    """Some asks, by their positions, that take `amounts` in all at `costs`, lowest amount first.

    `order` has the position of who gets each further step, for asks that share a step of `step`;
    it is empty for an ask that stands alone.
    """

    positions: tuple[int, ...]
    amounts: Sequence[int]
    costs: Sequence[int]
    step: int = 0
    order: Sequence[int] = ()

    def further(self, place: int) -> dict[int, int]:
        """What each ask gets above its promised amount when the part takes `amounts[place]`."""
        if not self.step:
            return {self.positions[0]: self.amounts[place]}
        return {who: self.step * n for who, n in Counter(self.order[:place]).items()}


def parts_of(amount: int, asks: Sequence[Ask], curves: Sequence[Curve]) -> list[Part]:
    """All parts, for `amount` to hand out above what is promised to each ask."""
    together: dict[int, list[int]] = {}
    parts = []
    for position, ask in enumerate(asks):
        if not ask.has_gap:
            together.setdefault(ask.step, []).append(position)
        elif ask.lowest <= amount:
            parts.append(_alone(amount, position, ask, curves[position]))
    parts += [_group(amount, positions, asks, curves) for positions in together.values()]
    return [part for part in parts if len(part.amounts) > 1]


def steps_in_turn(
    positions: Sequence[int], asks: Sequence[Ask], curves: Sequence[Curve]
) -> Iterator[tuple[int, int]]:
    """Who gets each further step, and what it adds to the cost: whoever it raises least."""
    shares = {position: asks[position].promised for position in positions}

    def rise(position: int) -> int:
        share, curve = shares[position], curves[position]
        return curve.cost(share + asks[position].step) - curve.cost(share)

    queue = [(rise(who), who) for who in positions if shares[who] < asks[who].highest]
    heapify(queue)
    while queue:
        added, who = queue[0]
        yield who, added
        shares[who] += asks[who].step
        if shares[who] < asks[who].highest:
            heapreplace(queue, (rise(who), who))
        else:
            heappop(queue)


def _alone(amount: int, position: int, ask: Ask, curve: Curve) -> Part:
    amounts = [0, *range(ask.lowest, min(ask.highest, amount) + 1, ask.step)]
    return Part((position,), amounts, [curve.cost(share) for share in amounts])


def _group(
    amount: int, positions: Sequence[int], asks: Sequence[Ask], curves: Sequence[Curve]
) -> Part:
    step = asks[positions[0]].step
    turns = list(islice(steps_in_turn(positions, asks, curves), amount // step))
    promised = sum(curves[who].cost(asks[who].promised) for who in positions)
    return Part(
        positions=tuple(positions),
        amounts=range(0, step * len(turns) + 1, step),
        costs=list(accumulate((added for _, added in turns), initial=promised)),
        step=step,
        order=[who for who, _ in turns],
    )
