"""The sums of a whole buy, worked out again from the published definitions, slow and plain.

Nothing of the product is imported here. Amounts are whole base steps (tenths of a pound), money
is whole cents, and what lies between is an exact fraction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import product
from math import floor

HALF = Fraction(1, 2)


class Undecided(Exception):
    """Only luck could decide this: the figures of a test are chosen so that it never comes."""


# ---- Containers -----------------------------------------------------------------------------
@dataclass(frozen=True)
class Offer:
    """A container: what it holds, and its prices as {from this many: cents each}."""

    size: int
    prices: Mapping[int, int]

    def cost(self, count: int) -> int:
        """What so many cost: the price that they reach holds for all of them."""
        reached = [cents for start, cents in self.prices.items() if start <= count]
        return count * reached[-1] if reached else 0


@dataclass(frozen=True)
class Plan:
    """How many of each container, what they hold and what they cost."""

    counts: tuple[int, ...]
    amount: int
    cents: int


def plans(offers: Sequence[Offer], *, lowest: int, highest: int) -> list[Plan]:
    """For each amount in the range the cheapest containers, found by trying every number."""
    cheapest: dict[int, Plan] = {}
    for counts in product(*(range(highest // offer.size + 1) for offer in offers)):
        pairs = list(zip(offers, counts, strict=True))
        amount = sum(offer.size * count for offer, count in pairs)
        plan = Plan(counts, amount, sum(offer.cost(count) for offer, count in pairs))
        if lowest <= amount <= highest:
            known = cheapest.setdefault(amount, plan)
            cheapest[amount] = min(known, plan, key=lambda each: (each.cents, sum(each.counts)))
    return [cheapest[amount] for amount in sorted(cheapest)]


def recommended(found: Sequence[Plan], *, wanted: int, bears: int) -> Plan:
    """Of what the asks bear: the least short of what is wanted, then the cheapest."""
    within = [plan for plan in found if plan.amount <= bears]
    return min(within, key=lambda plan: (max(0, wanted - plan.amount), plan.cents, plan.amount))


# ---- Dividing -------------------------------------------------------------------------------
@dataclass(frozen=True)
class Wish:
    """What one household asks of a line, and its season so far."""

    wanted: int
    at_least: int = 0
    at_most: int = 0
    step: int = 1
    or_none: bool = False
    past_asked: int = 0
    past_got: int = 0

    @property
    def most(self) -> int:
        """What it takes at most: what it wants, unless it says more."""
        return max(self.wanted, self.at_most)

    @property
    def fill(self) -> Fraction:
        """What it got of what it asked this season; who never asked is not behind."""
        return Fraction(self.past_got, self.past_asked) if self.past_asked else Fraction(1)

    def amounts(self) -> list[int]:
        """Every amount that it may get."""
        steps = -(-self.at_least // self.step), self.most // self.step
        between = [self.step * count for count in range(steps[0], steps[1] + 1)]
        return sorted({0, *between}) if self.or_none else between


def shares(amount: int, wishes: Sequence[Wish], rule: str) -> list[int]:
    """Who gets what: the least left over, then the least past what is wanted, then the rule.

    Asks for whole containers, and those for all or nothing, are tried in every way; what remains
    goes out step by step among the others.
    """
    step = min(wish.step for wish in wishes)
    fixed = [who for who, wish in enumerate(wishes) if wish.step > step or wish.or_none]
    ways = []
    for chosen in product(*(wishes[who].amounts() for who in fixed)):
        given = _completed(amount, wishes, dict(zip(fixed, chosen, strict=True)), rule, step)
        if given is not None:
            ways.append((_merit(amount, wishes, given, rule), given))
    best = min(merit for merit, _ in ways)
    found = [given for merit, given in ways if merit == best]
    if len(found) > 1:
        raise Undecided(found)
    return found[0]


def _completed(
    amount: int, wishes: Sequence[Wish], chosen: Mapping[int, int], rule: str, step: int
) -> list[int] | None:
    """Fill up the others around what is chosen for some; None if not all minimums can be kept."""
    others = [who for who in range(len(wishes)) if who not in chosen]
    rest = amount - sum(chosen.values())
    if rest < sum(wishes[who].amounts()[0] for who in others):
        return None
    asking = [wishes[who] for who in others]
    if rule == "proportional" and rest <= sum(wish.wanted for wish in asking):
        filled = _by_webster(rest, asking, step)
    else:
        filled = _step_by_step(rest, asking, rule, step)
    given = dict(zip(others, filled, strict=True)) | dict(chosen)
    return [given[who] for who in range(len(wishes))]


def _by_webster(amount: int, wishes: Sequence[Wish], step: int) -> list[int]:
    seats = webster(
        amount // step,
        [wish.wanted for wish in wishes],
        least=[wish.amounts()[0] // step for wish in wishes],
        most=[wish.wanted // step for wish in wishes],
    )
    return [step * count for count in seats]


def webster(
    seats: int, votes: Sequence[int], *, least: Sequence[int] = (), most: Sequence[int] = ()
) -> list[int]:
    """Votes over one divisor, rounded to the nearest: the divisor is searched for, largest first.

    D. Webster's method of 1832; A. Sainte-Laguë, 1910.
    """
    least = least or [0] * len(votes)
    most = most or [seats] * len(votes)
    places = list(zip(votes, least, most, strict=True))
    divisors = {Fraction(2 * vote, 2 * seat + 1) for vote in votes for seat in range(seats)}
    for divisor in sorted(divisors, reverse=True):
        found = [max(low, min(high, floor(vote / divisor + HALF))) for vote, low, high in places]
        if sum(found) == seats:
            return found
        if sum(found) > seats:
            break
    raise Undecided(seats)


def _step_by_step(amount: int, wishes: Sequence[Wish], rule: str, step: int) -> list[int]:
    """Hand out one step at a time to whoever is furthest from what the rule names."""
    got = [wish.amounts()[0] for wish in wishes]
    left = amount - sum(got)
    while True:
        waiting = [who for who, wish in enumerate(wishes) if got[who] + step <= wish.most]
        if left < step or not waiting:
            return got
        turns = {who: _turn(wishes[who], got[who], rule, step) for who in waiting}
        first = [who for who in waiting if turns[who] == min(turns.values())]
        if len(first) * step > left:
            raise Undecided(first)
        for who in first:
            got[who] += step
            left -= step


def _turn(wish: Wish, got: int, rule: str, step: int) -> tuple[object, ...]:
    """Who comes next: the lowest. Past what is wanted comes last; ties go by the season."""
    past_wanted = got >= wish.wanted
    if rule == "proportional":
        return past_wanted, Fraction(2 * got + step, wish.wanted), wish.fill
    if rule == "season":
        season = wish.past_asked + wish.wanted
        return past_wanted, Fraction(2 * (wish.past_got + got) + step, season), wish.fill
    if rule == "even_loss":
        return past_wanted, got - wish.wanted, wish.fill
    if rule == "concede" and 2 * got >= wish.wanted:
        return past_wanted, 1, got - wish.wanted, -wish.wanted, wish.fill
    return past_wanted, 0, got, -wish.wanted, wish.fill  # even, and the lower halves of concede


def _merit(amount: int, wishes: Sequence[Wish], given: Sequence[int], rule: str) -> tuple:
    """The lower, the better."""
    pairs = list(zip(wishes, given, strict=True))
    past_wanted = sum(max(0, got - wish.wanted) for wish, got in pairs)
    return amount - sum(given), past_wanted, _distance(pairs, rule)


def _distance(pairs: Sequence[tuple[Wish, int]], rule: str) -> object:
    """How far from the rule: each levels something, and squares are least where it is level.

    That Webster's method makes the sum of got²/wanted least is due to A. Sainte-Laguë (1910).
    """
    if rule == "proportional":
        return sum(Fraction(got * got, wish.wanted) for wish, got in pairs)
    if rule == "season":
        return sum(
            Fraction((wish.past_got + got) ** 2, wish.past_asked + wish.wanted)
            for wish, got in pairs
        )
    if rule == "even_loss":
        return sum((wish.wanted - got) ** 2 for wish, got in pairs)
    if rule == "even":
        return sum(got * got for _, got in pairs)
    halves = [(wish.wanted, Fraction(wish.wanted, 2), got) for wish, got in pairs]
    return (
        sum(max(Fraction(0), got - half) for _, half, got in halves),
        sum(min(got, half) ** 2 + (all_ - max(got, half)) ** 2 for all_, half, got in halves),
    )


# ---- Cents ----------------------------------------------------------------------------------
def to_the_cent(cents: int, weights: Mapping[str, int | Fraction]) -> dict[str, int]:
    """Each its part rounded down, and the odd cents to the largest remainders (Hamilton, 1792).

    Of equal remainders the first in `weights` gets the cent: see `has_tie`.
    """
    total = sum(weights.values())
    exact = {who: Fraction(cents) * weight / total for who, weight in weights.items()}
    parts = {who: floor(part) for who, part in exact.items()}
    by_remainder = sorted(exact, key=lambda who: parts[who] - exact[who])
    for who in by_remainder[: cents - sum(parts.values())]:
        parts[who] += 1
    return parts


def has_tie(cents: int, weights: Mapping[str, int | Fraction]) -> bool:
    """Whether the order of the weights decides who gets an odd cent."""
    backwards = dict(reversed(weights.items()))
    return to_the_cent(cents, weights) != to_the_cent(cents, backwards)


def airport(costs: Mapping[str, int]) -> dict[str, Fraction]:
    """Each stretch is paid equally by those who need it.

    S. C. Littlechild and G. Owen, "A simple expression for the Shapley value in a special case",
    Management Science 20 (1973) 370-372.
    """
    owed = dict.fromkeys(costs, Fraction(0))
    before = 0
    for cost in sorted(set(costs.values())):
        needing = [who for who, own in costs.items() if own >= cost]
        for who in needing:
            owed[who] += Fraction(cost - before, len(needing))
        before = cost
    return owed


def cents_a_pound(cents: int, tenths: int) -> int:
    """The price of a pound to the nearest cent."""
    return floor(Fraction(10 * cents, tenths) + HALF)


# ---- The books ------------------------------------------------------------------------------
@dataclass
class Books:
    """What each account gave less what it received, in cents."""

    balances: dict[str, int] = field(default_factory=dict)

    def move(self, giver: str, taker: str, cents: int) -> None:
        """Money, or what is worth it, goes from one to another."""
        self.balances[giver] = self.balances.get(giver, 0) + cents
        self.balances[taker] = self.balances.get(taker, 0) - cents

    def of(self, account: str) -> int:
        """What it is owed; below zero it owes."""
        return self.balances.get(account, 0)


def fewest_payments(balances: Sequence[int]) -> int:
    """The fewest payments that settle all: the accounts less the most groups that settle alone.

    T. Verhoeff, "Settling multiple debts efficiently", Informatics in Education 3 (2004) 105-126.
    """
    owing = [cents for cents in balances if cents]
    most_groups = [0] * (1 << len(owing))
    sums = [0] * (1 << len(owing))
    for members in range(1, 1 << len(owing)):
        inside = [place for place in range(len(owing)) if members >> place & 1]
        sums[members] = sums[members & (members - 1)] + owing[inside[0]]
        smaller = max(most_groups[members & ~(1 << place)] for place in inside)
        most_groups[members] = smaller + (sums[members] == 0)
    return len(owing) - most_groups[-1]
