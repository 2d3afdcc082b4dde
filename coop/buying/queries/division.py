"""What there is of a line to divide, among whom, and what each rule would give."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property

from django.http import Http404

from coop.buying.models import Ask, Buy, Division, Line, Share
from coop.buying.queries.season import Carry, carries_before
from coop.buying.queries.tally import LineCame, line_came, lines_came
from coop.buying.words import RULES, RuleWords
from coop.core import division as core
from coop.people.changes import topic
from coop.people.models import Change, Member

DIGEST_LENGTH = 16
NO_CARRY = Carry()


@dataclass(frozen=True)
class Case:
    """All that a division depends on. The same case always divides alike."""

    came: LineCame
    asks: tuple[Ask, ...]
    claims: tuple[core.Ask, ...]
    carries: tuple[Carry, ...]
    tie_order: tuple[int, ...]

    @property
    def line(self) -> Line:
        """What is divided."""
        return self.came.line

    @property
    def amount(self) -> int:
        """What there is, in base steps."""
        return self.came.usable

    @property
    def wanted(self) -> int:
        """What was asked, in base steps."""
        return sum(claim.wanted for claim in self.claims)

    @property
    def promised(self) -> int:
        """What must be given whatever the rule."""
        return sum(claim.promised for claim in self.claims)

    @property
    def short(self) -> int:
        """By how much it falls short of what was asked."""
        return max(0, self.wanted - self.amount)

    @property
    def surplus(self) -> int:
        """What nobody asked for: it is offered, and charged to nobody who did not claim it."""
        return max(0, self.amount - sum(claim.highest for claim in self.claims))

    @property
    def impossible(self) -> list[Ask]:
        """Asks whose minimum fits no whole number of their own containers or steps."""
        return [
            ask
            for ask, claim in zip(self.asks, self.claims, strict=True)
            if claim.lowest > claim.highest
        ]

    @cached_property
    def digest(self) -> str:
        """A name for what was seen: another tally, ask or season has another."""
        inputs = [self.amount, [asdict(claim) for claim in self.claims], self.tie_order]
        households = [ask.household_id for ask in self.asks]
        text = json.dumps([inputs, households], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:DIGEST_LENGTH]

    def divided_by(self, rule: core.Rule) -> core.Division:
        """The shares by one rule. Raises core CannotCover; ValueError if an ask is impossible."""
        return core.divide(self.amount, self.claims, rule, tie_order=self.tie_order)


def case_of(line: Line) -> Case:
    """What there is to divide of a line, and who asked. A fixed number of queries."""
    came = line_came(line)
    asks = tuple(
        Ask.objects.filter(line=line, wanted__gt=0)
        .select_related("household")
        .order_by("-wanted", "household__name", "household_id")
    )
    by_household = carries_before(line)
    carries = tuple(by_household.get(ask.household_id, NO_CARRY) for ask in asks)
    claims = tuple(
        _claim(ask, carry, line=line, nothing_came=came.usable == 0)
        for ask, carry in zip(asks, carries, strict=True)
    )
    return Case(came, asks, claims, carries, _tie_order(line, asks))


def _claim(ask: Ask, carry: Carry, *, line: Line, nothing_came: bool) -> core.Ask:
    """An ask as the core reads it. Where nothing came at all, nobody can be held to a minimum."""
    return core.Ask(
        wanted=ask.wanted,
        at_least=ask.at_least,
        at_most=ask.at_most,
        step=ask.whole or line.step,
        or_none=ask.or_none or nothing_came,
        past_asked=carry.asked,
        past_received=carry.received,
    )


def _tie_order(line: Line, asks: Sequence[Ask]) -> tuple[int, ...]:
    """Positions of the asks, first in line first: by joining, and one further on with each line."""
    by_joining = sorted(range(len(asks)), key=lambda place: asks[place].household_id)
    turn = line.pk % len(asks) if asks else 0
    return tuple(by_joining[turn:] + by_joining[:turn])


# ---- how far a buy is divided ---------------------------------------------------------------
@dataclass(frozen=True)
class LineState:
    """One line: what came of it, what was asked of it, and the division that holds."""

    came: LineCame
    asked: int
    division: Division | None

    @property
    def is_to_divide(self) -> bool:
        """Somebody asked or something came, and no division stands."""
        return self.division is None and bool(self.asked or self.came.usable)


def line_states(buy: Buy) -> list[LineState]:
    """Every line of a buy in order. A fixed number of queries."""
    asked: dict[int, int] = {}
    for line_id, wanted in Ask.objects.filter(line__buy=buy).values_list("line_id", "wanted"):
        asked[line_id] = asked.get(line_id, 0) + wanted
    standing: Mapping[int, Division] = {
        division.line_id: division
        for division in Division.objects.filter(
            line__buy=buy, withdrawn_at__isnull=True
        ).select_related("published_by")
    }
    return [
        LineState(came, asked.get(came.line.pk, 0), standing.get(came.line.pk))
        for came in lines_came(buy)
    ]


def next_to_divide(buy: Buy) -> Line | None:
    """The first line that is still to be divided; else the first; None for a buy without lines."""
    states = line_states(buy)
    waiting = [state.came.line for state in states if state.is_to_divide]
    return next(iter(waiting or [state.came.line for state in states]), None)


@dataclass(frozen=True)
class Published:
    """A division that holds, with its shares, the largest ask first.

    `why` is the reason given where its rule is not the one that the buy stated.
    """

    division: Division
    shares: tuple[Share, ...]
    why: str = ""

    @property
    def words(self) -> RuleWords:
        """Its rule, named and told."""
        return RULES[self.division.rule]

    @property
    def wanted(self) -> int:
        """What was asked."""
        return sum(share.wanted for share in self.shares)

    @property
    def given(self) -> int:
        """What was shared out."""
        return sum(share.amount for share in self.shares)

    @property
    def short(self) -> int:
        """By how much all together are short of what they asked."""
        return sum(max(0, share.wanted - share.amount) for share in self.shares)


def published_of(line: Line) -> Published | None:
    """The division of a line that holds, or None."""
    division = (
        Division.objects.filter(line=line, withdrawn_at__isnull=True)
        .select_related("published_by__household", "line__buy")
        .first()
    )
    if division is None:
        return None
    shares = division.shares.select_related("household")
    about = topic(division.line.buy)
    told = Change.objects.filter(about=about, after__division=division.pk).first()
    return Published(
        division,
        tuple(shares.order_by("-wanted", "household__name", "pk")),
        why=str(told.after.get("why", "")) if told else "",
    )


def ask_to_ease(member: Member, buy_id: int, ask_id: int) -> Ask:
    """An ask of a buy, to lower its minimum. Absent and another co-op's are the same 404."""
    ask = (
        Ask.objects.select_related("household", "line__buy__coop", "line__buy__coordinator")
        .filter(pk=ask_id, line__buy_id=buy_id, line__buy__coop=member.coop)
        .first()
    )
    if ask is None:
        raise Http404
    return ask
