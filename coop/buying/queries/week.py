"""What buying has to say on This week: asks that close, pickups, and what waits for who runs it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from coop.buying.models import Ask, Buy, Release, Share, Spare, SpareClaim
from coop.buying.queries.squaring import lines_uncharged
from coop.buying.rights import can_charge, can_run
from coop.people import week
from coop.people.models import Household, Member

UNFINISHED = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


@dataclass(frozen=True)
class Amount:
    """So many base steps of one produce."""

    produce: str
    measure: str
    steps: int


@dataclass(frozen=True)
class OpenBuy:
    """A buy as its line on This week says it; `amounts` are those of the member's household."""

    buy: Buy
    amounts: list[Amount]
    asked: int = 0
    households: int = 0

    @property
    def only_line_id(self) -> int | None:
        """The line to ask of, where the buy has just one."""
        lines = [line.pk for line in self.buy.lines.all()]
        return lines[0] if len(lines) == 1 else None


@dataclass(frozen=True)
class SpareTable:
    """What is on the spare tables of one buy."""

    buy: Buy
    amounts: list[Amount]


def register() -> None:
    """Put buying's part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """What the open buys want of a household, and of whoever runs them. At most nine queries."""
    buys = list(_open_buys(member))
    asks, shares = _asks_of(member), _to_fetch(member)
    households = Household.objects.filter(coop=member.coop, left_at__isnull=True).count()
    due = [
        item
        for buy in buys
        for item in _due(buy, now, asks=asks[buy.pk], shares=shares[buy.pk], of=households)
    ]
    tiles = []
    if tables := _spare_tables(member):
        tiles.append(week.Tile("buying/week/spare.html", tables, place=1))
    if seekers := _takers_sought(member):
        tiles.append(week.Tile("buying/week/takers.html", seekers, place=2))
    return week.Week(due=due, waiting=_waiting(member, buys, now), tiles=tiles)


def _open_buys(member: Member) -> QuerySet[Buy]:
    return (
        Buy.objects.filter(coop=member.coop, stage__in=UNFINISHED)
        .annotate(
            asked=Count(
                "lines__asks__household", filter=Q(lines__asks__wanted__gt=0), distinct=True
            )
        )
        .prefetch_related("lines")
        .order_by("asks_close_at", "id")
    )


def _asks_of(member: Member) -> defaultdict[int, list[Amount]]:
    """What the household asked for, by buy."""
    rows = Ask.objects.filter(
        household=member.household_id, wanted__gt=0, line__buy__stage__in=UNFINISHED
    ).order_by("line__position")
    return _by_buy(rows.values_list("line__buy_id", "line__produce", "line__measure", "wanted"))


def _to_fetch(member: Member) -> defaultdict[int, list[Amount]]:
    """What the household has to fetch, by buy: shares, and what it claimed."""
    shares = Share.objects.filter(
        household=member.household_id,
        amount__gt=0,
        fetched_at__isnull=True,
        released_at__isnull=True,
        division__withdrawn_at__isnull=True,
        division__line__buy__stage=Buy.Stage.DIVIDED,
    ).values_list(
        "division__line__buy_id", "division__line__produce", "division__line__measure", "amount"
    )
    claims = SpareClaim.objects.filter(
        household=member.household_id,
        fetched_at__isnull=True,
        spare__division__withdrawn_at__isnull=True,
        spare__division__line__buy__stage=Buy.Stage.DIVIDED,
    ).values_list(
        "spare__division__line__buy_id",
        "spare__division__line__produce",
        "spare__division__line__measure",
        "amount",
    )
    return _by_buy([*shares, *claims])


def _by_buy(rows: object) -> defaultdict[int, list[Amount]]:
    """Rows of (buy, produce, measure, steps), steps of one produce added up."""
    sums: defaultdict[int, dict[tuple[str, str], int]] = defaultdict(dict)
    for buy_id, produce, measure, steps in rows:  # type: ignore[attr-defined]
        of_buy = sums[buy_id]
        of_buy[produce, measure] = of_buy.get((produce, measure), 0) + steps
    amounts: defaultdict[int, list[Amount]] = defaultdict(list)
    for buy_id, of_buy in sums.items():
        amounts[buy_id] = [Amount(*key, steps) for key, steps in of_buy.items()]
    return amounts


def _due(
    buy: Buy, now: datetime, *, asks: list[Amount], shares: list[Amount], of: int
) -> Iterator[week.Due]:
    """What a buy wants of the household now; nothing, or one thing."""
    if buy.stage == Buy.Stage.ASKING and buy.asks_close_at > now:
        about = OpenBuy(buy, asks, asked=buy.asked, households=of)  # type: ignore[attr-defined]
        yield week.Due("buying/week/ask.html", about, buy.asks_close_at)
    elif shares:
        yield week.Due("buying/week/fetch.html", OpenBuy(buy, shares), buy.pickup_from)
    elif asks and buy.stage in {Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED}:
        yield week.Due("buying/week/expect.html", OpenBuy(buy, asks), buy.pickup_from)


def _waiting(member: Member, buys: list[Buy], now: datetime) -> list[week.Due]:
    """What waits for who runs a buy, or for the treasurer."""
    ours = [buy for buy in buys if can_charge(member, buy)]
    if not ours:
        return []
    uncharged = lines_uncharged(member.coop)
    return [item for buy in ours for item in _next_step(member, buy, now, uncharged=uncharged)]


def _next_step(
    member: Member, buy: Buy, now: datetime, *, uncharged: Container[int]
) -> Iterator[week.Due]:
    if buy.stage == Buy.Stage.DIVIDED:
        if buy.pk in uncharged:
            yield week.Due("buying/week/charge.html", OpenBuy(buy, []))
    elif can_run(member, buy):
        if buy.stage == Buy.Stage.CALLED_IN:
            yield week.Due("buying/week/tally.html", OpenBuy(buy, []), buy.pickup_from)
        elif buy.stage == Buy.Stage.COLLECTED:
            yield week.Due("buying/week/divide.html", OpenBuy(buy, []))
        elif buy.asks_close_at <= now:
            yield week.Due("buying/week/call_in.html", OpenBuy(buy, []), buy.asks_close_at)


def _spare_tables(member: Member) -> list[SpareTable]:
    """What nobody has claimed yet, by buy."""
    spares = list(
        Spare.objects.filter(
            division__line__buy__coop=member.coop,
            division__line__buy__stage=Buy.Stage.DIVIDED,
            division__withdrawn_at__isnull=True,
            withdrawn_at__isnull=True,
        )
        .annotate(left=F("amount") - Coalesce(Sum("claims__amount"), 0))
        .filter(left__gt=0)
        .select_related("division__line__buy")
        .order_by("division__line__buy_id", "division__line__position")
    )
    lines = [(spare.division.line, spare.left) for spare in spares]
    amounts = _by_buy((line.buy_id, line.produce, line.measure, left) for line, left in lines)
    buys = {line.buy_id: line.buy for line, _ in lines}
    return [SpareTable(buy, amounts[pk]) for pk, buy in buys.items()]


def _takers_sought(member: Member) -> list[Release]:
    """What other households would pass on, of buys that are closed and not collected yet."""
    releases = Release.objects.filter(
        ask__line__buy__coop=member.coop,
        ask__line__buy__stage__in=[Buy.Stage.ASKING, Buy.Stage.CALLED_IN],
        taken_at__isnull=True,
        withdrawn_at__isnull=True,
    ).exclude(ask__household=member.household_id)
    return list(releases.select_related("ask__line__buy", "ask__household"))
