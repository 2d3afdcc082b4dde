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
from fractions import Fraction
from heapq import heapify, heappop, heappush
from itertools import count

BOUND = 2


def may_stray(units: Sequence[int]) -> bool:
    """True if Webster's method could be more than two steps from the exact award of some amount.

    A share is a rounded quotient, off by at most a half, and the divisor is off by what all these
    halves add up to, so that an ask with the part p among n asks is off by at most 1/2 + p (n - 2)
    / 2.

    >>> may_stray([5, 6, 7, 8, 9, 40]), may_stray([40] + [1] * 9)
    (False, True)
    """
    asking = [unit for unit in units if unit]
    largest = max(asking, default=0)
    return largest * (len(asking) - 2) > (2 * BOUND - 1) * sum(asking)


def held_order(units: Sequence[int], line: Sequence[int]) -> Iterator[int]:
    """Who gets each step, until everyone has what it asked: positions in `units`.

    `units` has what each asks, in steps; `line` all positions, first in line first, for ties.
    """
    rank = {position: place for place, position in enumerate(line)}
    got = [0] * len(units)
    queue = [_turn(units, got, rank, who) for who, unit in enumerate(units) if unit]
    heapify(queue)
    for _ in range(sum(units)):
        passed = []
        while True:
            turn = heappop(queue)
            who = turn[-1]
            got[who] += 1
            if _may_have(units, got, who):
                break
            got[who] -= 1
            passed.append(turn)
        yield who
        if got[who] < units[who]:
            passed.append(_turn(units, got, rank, who))
        for turn in passed:
            heappush(queue, turn)


def _turn(
    units: Sequence[int], got: Sequence[int], rank: dict[int, int], who: int
) -> tuple[Fraction, int, int]:
    return Fraction(2 * got[who] + 1, units[who]), rank[who], who


def _may_have(units: Sequence[int], got: Sequence[int], who: int) -> bool:
    """True if `who` may have got the latest step. A step is counted as `total` parts here."""
    total, given = sum(units), sum(got)
    if got[who] * total > units[who] * given + BOUND * total:
        return False
    behind = [unit * given - total * share for unit, share in zip(units, got, strict=True)]
    return max(behind) <= total or _all_can_catch_up(units, behind, total)


def _all_can_catch_up(units: Sequence[int], behind: Sequence[int], total: int) -> bool:
    """True if nobody need fall more than two steps behind, whatever number of steps from now.

    After t more steps, each is due what keeps it within the bound. Who is less than a step behind
    now is due less than its part of t, by a margin that grows with t; once these margins outweigh
    what the others are due too much, no later t can fail.
    """
    pairs = list(zip(units, behind, strict=True))
    excess = sum(lag - total for lag in behind if lag > total)
    for later in count(1):
        due = (-((BOUND * total - lag - unit * later) // total) for unit, lag in pairs)
        if sum(steps for steps in due if steps > 0) > later:
            return False
        margins = (min(unit * later, total - lag) for unit, lag in pairs if lag <= total)
        if sum(margins) >= excess:
            return True
    raise AssertionError("the margins outweigh any excess in the end")
