"""Webster's method, held within two steps of the exact award.

A divisor method can stray: of 30, asks of 40 and nine times 1 get 21 and nine times 1, though the
exact award of the first is 24.49. That happens only when one ask dwarfs many. Here every step still
goes by Webster's order, but to nobody who would be more than two steps ahead, and never so that
somebody must later fall more than two steps behind. Where Webster's own order keeps within two
steps, it is unchanged.

That nobody steps back when there is more, as in M. L. Balinski and H. P. Young, "The quota method
of apportionment", American Mathematical Monthly 82 (1975) 701-730, comes from handing out step by
step; that this can always go on, from the matching of steps to their times between release and
deadline (as in G. Steiner and S. Yeomans, "Level schedules for mixed-model, just-in-time
processes", Management Science 39 (1993) 728-735) [both sources from memory].
"""

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from itertools import count
from math import lcm

import numpy as np

BOUND = 2
LOOK = 64  # steps looked ahead at a time


def may_stray(units: Sequence[int], *, ragged: bool) -> bool:
    """True if Webster's method could be more than two steps from the exact award of some amount.

    A share is a rounded quotient, off by a half at most, and the divisor is off by what all these
    halves add up to. So an ask with the part p among n asks is off by 1/2 + p (n - 2) / 2 at most,
    and by p more if the amount is `ragged`: up to a step above the whole steps given out.

    >>> may_stray([5, 6, 7, 8, 9, 40], ragged=False), may_stray([40] + [1] * 9, ragged=False)
    (False, True)
    """
    asking = [unit for unit in units if unit]
    largest = max(asking, default=0)
    others = len(asking) if ragged else len(asking) - 2
    return largest * others > (2 * BOUND - 1) * sum(asking)


def held_order(units: Sequence[int], line: Sequence[int], *, ragged: bool) -> Iterator[int]:
    """Who gets each step, until everyone has what it asked: positions in `units`.

    `units` has what each asks, in steps; `line` all positions, first in line first, for ties.
    `ragged` is as in `may_stray`.
    """
    asking = [who for who in line if units[who]]
    race = _Race([units[who] for who in asking], ragged)
    for _ in range(race.total):
        yield asking[race.next()]


class _Race:
    """Who has how many steps, and who may have the next. Lags are in parts of a step."""

    def __init__(self, units: Sequence[int], ragged: bool) -> None:
        self.units = units
        self.ragged = ragged
        self.total = sum(units)  # parts of a step
        common = lcm(*units)
        self.weights = [common // unit for unit in units]  # one over each, on one scale
        self.got = [0] * len(units)
        self.given = 0
        self.queue = [(weight, who) for who, weight in enumerate(self.weights)]
        heapify(self.queue)

    def next(self) -> int:
        """Give one step to the first in Webster's order who may have it, and say who."""
        self.given += 1
        passed = []
        refused = set()  # equals in equal standing need no second look
        while True:
            turn = heappop(self.queue)
            who = turn[1]
            standing = self.units[who], self.got[who]
            if standing not in refused and self._may_have(who):
                break
            refused.add(standing)
            passed.append(turn)
        self.got[who] += 1
        if self.got[who] < self.units[who]:
            passed.append(((2 * self.got[who] + 1) * self.weights[who], who))
        for turn in passed:
            heappush(self.queue, turn)
        return who

    def _may_have(self, who: int) -> bool:
        """True if `who` may have the next step without breaking the bound now or later.

        Whoever is due first, of all who may be that far ahead, can as long as all went well so far.
        """
        if not self._is_released(who):
            return False
        due_for = self.given + self.ragged
        pairs = zip(self.units, self.got, strict=True)
        lags = [unit * due_for - self.total * share for unit, share in pairs]
        lags[who] -= self.total
        if max(lags) <= self.total:
            return True
        return who == self._first_due() or _all_keep_up(self.units, lags)

    def _is_released(self, who: int) -> bool:
        """True if one step more does not bring it more than two steps ahead."""
        ahead = (self.got[who] + 1) * self.total - self.units[who] * self.given
        return ahead <= BOUND * self.total

    def _first_due(self) -> int:
        """Who would be the first to fall more than two steps behind without a step more."""
        waiting = [
            ((share + BOUND) * self.weights[who], who)
            for who, share in enumerate(self.got)
            if share < self.units[who] and self._is_released(who)
        ]
        return min(waiting)[1]


def _all_keep_up(units: Sequence[int], lags: Sequence[int]) -> bool:
    """True if nobody is more than two steps behind, nor must ever be, by these lags.

    After t more steps each is due what keeps it within two. Who is less than a step behind now is
    due less than its part of t, by a margin that grows with t; once the margins outweigh what the
    others are due too much, no later t can fail.
    """
    total = sum(units)
    parts, behind = np.array(units), np.array(lags)
    excess = np.maximum(behind - total, 0).sum()
    for start in count(0, LOOK):
        paces = parts * np.arange(start, start + LOOK)[:, np.newaxis]
        due = np.maximum(-((BOUND * total - behind - paces) // total), 0).sum(axis=1)
        margins = np.minimum(paces, np.maximum(total - behind, 0)).sum(axis=1)
        settled = np.flatnonzero(margins >= excess)
        until = settled[0] if settled.size else LOOK
        if (due[:until] > np.arange(start, start + until)).any():
            return False
        if settled.size:
            return True
    raise AssertionError("the margins outweigh any excess in the end")
