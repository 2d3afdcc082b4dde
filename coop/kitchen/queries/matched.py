"""Who could lend whom which empty jars, so that what is planned finds its jars."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from coop.buying.models import Buy
from coop.core.distance import Place, miles_apart, minutes_apart
from coop.core.figures import counted
from coop.core.jars import JarMatch, match_spares
from coop.jars.kinds import KINDS
from coop.jars.loan_words import lot_said
from coop.jars.models import Loan
from coop.jars.queries.homes import homes_in
from coop.jars.queries.loans import Stage, Standing, open_loans, standing_of
from coop.jars.queries.stock import Age, Stock, age_of, stocks_in
from coop.kitchen.queries.needs import (
    ByHousehold,
    LidsLacking,
    Need,
    is_of,
    jars_wanted,
    lids_lacking,
    needs_of,
    plans_to_can,
    spares_of,
    to_can,
)
from coop.people.models import Coop, Household

#: Where one of two households has not said where it lives. Common practice, no source.
UNKNOWN_MINUTES = 30
#: So long a page may wait for the search.
SECONDS = 3.0


@dataclass(frozen=True)
class Lending:
    """Jars that one household could lend another: by kind, and about how far apart they live.

    `loan` is one about some of these jars that the two are already talking about.
    """

    lender: Household
    borrower: Household
    jars: Mapping[str, int]
    minutes: int
    is_placed: bool
    loan: Loan | None = None

    @property
    def said(self) -> str:
        """The jars in words."""
        return lot_said(self.jars)

    @property
    def parts_said(self) -> list[str]:
        """The jars in words, each kind by itself."""
        return [lot_said({kind: count}) for kind, count in self.jars.items()]


@dataclass(frozen=True)
class KindTotal:
    """Jars of one kind that all households together must find elsewhere, and do find."""

    kind: str
    needed: int
    met: int

    @property
    def said(self) -> str:
        """The kind in words."""
        return KINDS[self.kind]

    @property
    def lacking(self) -> int:
        """Jars that nobody can spare."""
        return self.needed - self.met


@dataclass(frozen=True)
class NeedMet:
    """One household's need of one kind, and the jars that it could borrow."""

    need: Need
    met: int

    @property
    def lacking(self) -> int:
        """Jars that it still lacks with all that it could borrow."""
        return self.need.lacking - self.met


@dataclass(frozen=True)
class Matched:
    """The match of spare jars to needs, and what it rests on.

    `wanted` are jars for all that is planned; `needs` only those that are lacking, kind by kind.
    `old` are counts that the match rests on and that are old, `missing` the households among those
    that plan or lend which never counted, `silent` how many others never did. `proven`: whether no
    shorter round can be.
    """

    wanted: int
    needs: tuple[NeedMet, ...]
    lendings: tuple[Lending, ...]
    kinds: tuple[KindTotal, ...]
    lids: tuple[LidsLacking, ...]
    old: tuple[Stock, ...]
    missing: tuple[Household, ...]
    silent: int
    has_spares: bool
    proven: bool

    @property
    def needed(self) -> int:
        """Jars that households must find elsewhere."""
        return sum(each.needed for each in self.kinds)

    @property
    def met(self) -> int:
        """Jars that others could lend."""
        return sum(each.met for each in self.kinds)

    @property
    def lacking(self) -> int:
        """Jars that nobody can spare."""
        return self.needed - self.met

    @property
    def visited(self) -> int:
        """Households that would lend something."""
        return len({each.lender.pk for each in self.lendings})

    @property
    def visited_line(self) -> str:
        """How many households would lend."""
        return f"by {counted(self.visited, 'household')} with jars to spare"

    @property
    def is_placeless(self) -> bool:
        """Whether the way between some two of them is not known."""
        return not all(each.is_placed for each in self.lendings)


def matched_jars(coop: Coop, now: datetime, *, buy: Buy | None = None, sure: bool) -> Matched:
    """Match spare jars to what is lacking for all open plans, or for those of one buy.

    Whoever lends keeps what all its own plans want, whatever buy they are of. `sure`: jars for the
    highest number that may come, else for the likely one. Nineteen queries at the most, whatever
    the number of households.
    """
    uses = to_can(plans_to_can(coop))
    stocks = stocks_in(coop)
    standings = [standing_of(loan) for loan in open_loans(coop)]
    for_all = jars_wanted(uses, sure=sure)
    wanted = jars_wanted([u for u in uses if is_of(u, buy)], sure=sure) if buy else for_all
    needs = [n for n in needs_of(wanted, stocks, _coming(standings)) if n.lacking]
    spares = spares_of(for_all, stocks)
    ways = _ways(needs, spares, homes_in(coop))
    found = match_spares(
        _lacking(needs), spares, {pair: way.minutes for pair, way in ways.items()}, seconds=SECONDS
    )
    got = _got(found)
    asked = set(wanted) | {move.lender for move in found.moves}
    named = [stock for key, stock in stocks.items() if key in asked]
    return Matched(
        wanted=sum(sum(jars.values()) for jars in wanted.values()),
        needs=tuple(NeedMet(n, got[n.household.pk, n.kind]) for n in needs),
        lendings=tuple(_lendings(found, stocks, ways, standings)),
        kinds=tuple(_totals(needs, got)),
        lids=tuple(lids_lacking(wanted, stocks)),
        old=tuple(s for s in named if s.counted_at and age_of(s, now) != Age.FRESH),
        missing=tuple(s.household for s in named if s.counted_at is None),
        silent=sum(s.counted_at is None for key, s in stocks.items() if key not in asked),
        has_spares=bool(spares),
        proven=found.proven,
    )


@dataclass(frozen=True)
class _Way:
    """The way between two households, in minutes; not placed where it is only supposed."""

    minutes: int
    is_placed: bool


_Ways = Mapping[tuple[int, int], _Way]
_Got = Mapping[tuple[int, str], int]


def _coming(standings: Iterable[Standing]) -> ByHousehold:
    """Jars that were agreed and not handed over yet, by borrower and kind."""
    coming: dict[int, Counter[str]] = {}
    for standing in standings:
        coming.setdefault(standing.loan.borrower_id, Counter()).update(standing.to_hand_over)
    return coming


def _lacking(needs: Iterable[Need]) -> dict[int, dict[str, int]]:
    lacking: dict[int, dict[str, int]] = {}
    for need in needs:
        lacking.setdefault(need.household.pk, {})[need.kind] = need.lacking
    return lacking


def _ways(
    needs: Iterable[Need], spares: Iterable[int], homes: Mapping[int, Place]
) -> dict[tuple[int, int], _Way]:
    """The way from every household that can lend to every one that lacks something."""
    borrowers, lenders = sorted({need.household.pk for need in needs}), sorted(spares)
    ways: dict[tuple[int, int], _Way] = {}
    for lender in lenders:
        for borrower in borrowers:
            if lender != borrower and (borrower, lender) not in ways:
                ways[lender, borrower] = _way(homes.get(lender), homes.get(borrower))
    return ways


def _way(one: Place | None, other: Place | None) -> _Way:
    if one is None or other is None:
        return _Way(UNKNOWN_MINUTES, is_placed=False)
    return _Way(minutes_apart(miles_apart(one, other)), is_placed=True)


def _got(found: JarMatch[int, str]) -> _Got:
    got: Counter[tuple[int, str]] = Counter()
    for move in found.moves:
        got[move.borrower, move.kind] += move.jars
    return got


def _lendings(
    found: JarMatch[int, str],
    stocks: Mapping[int, Stock],
    ways: _Ways,
    standings: Iterable[Standing],
) -> Iterable[Lending]:
    """The moves between the same two households as one lending, in the order of `stocks`."""
    waiting = [each for each in standings if each.stage == Stage.WAITING]
    pairs: dict[tuple[int, int], dict[str, int]] = {}
    for move in found.moves:
        pairs.setdefault((move.lender, move.borrower), {})[move.kind] = move.jars
    place = {key: at for at, key in enumerate(stocks)}
    for lender, borrower in sorted(pairs, key=lambda pair: (place[pair[0]], place[pair[1]])):
        jars = pairs[lender, borrower]
        way = ways.get((lender, borrower)) or ways[borrower, lender]
        yield Lending(
            stocks[lender].household,
            stocks[borrower].household,
            {kind: jars[kind] for kind in KINDS if kind in jars},
            minutes=way.minutes,
            is_placed=way.is_placed,
            loan=_talked_of(waiting, (lender, borrower), jars),
        )


def _talked_of(
    waiting: Iterable[Standing], pair: tuple[int, int], jars: Mapping[str, int]
) -> Loan | None:
    """A loan of this lender to this borrower, not answered yet, with one of these kinds in it."""
    for each in waiting:
        if (
            each.loan.lender_id,
            each.loan.borrower_id,
        ) == pair and each.agreed.keys() & jars.keys():
            return each.loan
    return None


def _totals(needs: Iterable[Need], got: _Got) -> Iterable[KindTotal]:
    needed: Counter[str] = Counter()
    met: Counter[str] = Counter()
    for need in needs:
        needed[need.kind] += need.lacking
        met[need.kind] += got[need.household.pk, need.kind]
    return [KindTotal(kind, needed[kind], met[kind]) for kind in KINDS if needed[kind]]
