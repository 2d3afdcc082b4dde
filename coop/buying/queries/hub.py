"""The page of one buy: its lines, my asks, who asked, and what comes next for me."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from coop.buying.models import Ask, Buy, Line, Release
from coop.buying.queries.asks import are_asks_open, households_in, open_releases
from coop.buying.queries.buys import buys_in
from coop.buying.queries.lines import Needs, lines_of, needs_of, open_asks
from coop.buying.rights import can_run
from coop.people.models import Household, Member

UNDER_WAY = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


@dataclass(frozen=True)
class HubLine:
    """One line of a buy as its page shows it."""

    line: Line
    needs: Needs
    mine: Ask | None
    asks: tuple[Ask, ...]

    @property
    def ordered(self) -> int | None:
        """What was called in, in base steps as promised; None before the call-in."""
        supplies = list(self.line.supplies.all())
        if not supplies or any(supply.called_in is None for supply in supplies):
            return None
        return sum(supply.size * (supply.called_in or 0) for supply in supplies)


@dataclass(frozen=True)
class Step:
    """What comes next for a member: an act, why, and where it is done."""

    title: str
    why: str
    url_name: str
    label: str
    line_id: int | None = None


@dataclass(frozen=True)
class Hub:
    """All that the page of a buy shows."""

    lines: tuple[HubLine, ...]
    households: tuple[Household, ...]
    not_asking: tuple[Household, ...]
    releases: tuple[Release, ...]
    is_open: bool
    steps: tuple[Step, ...]

    @property
    def household_count(self) -> int:
        """Households of the co-op that ask or could."""
        return len(self.households) + len(self.not_asking)

    @property
    def has_my_ask(self) -> bool:
        """Whether my household asks for anything."""
        return any(each.mine for each in self.lines)


def hub_of(buy: Buy, member: Member) -> Hub:
    """The page of a buy for a member. The same number of queries whatever was asked."""
    lines = tuple(_hub_line(line, member) for line in lines_of([buy]))
    askers = {ask.household_id: ask.household for each in lines for ask in each.asks}
    is_open = are_asks_open(buy)
    return Hub(
        lines=lines,
        households=tuple(sorted(askers.values(), key=lambda home: (home.name.lower(), home.pk))),
        not_asking=tuple(home for home in households_in(member) if home.pk not in askers),
        releases=tuple(open_releases(buy)),
        is_open=is_open,
        steps=tuple(_steps(buy, member, lines, is_open=is_open)),
    )


def _hub_line(line: Line, member: Member) -> HubLine:
    asks = tuple(open_asks(line))
    mine = next((ask for ask in asks if ask.household_id == member.household_id), None)
    return HubLine(line, needs_of(line), mine, asks)


# ---- what comes next ------------------------------------------------------------------------
def _steps(buy: Buy, member: Member, lines: tuple[HubLine, ...], *, is_open: bool) -> list[Step]:
    """The coordinator's next act first, then the household's."""
    steps = [_coordinators_step(buy, lines, is_open=is_open)] if can_run(member, buy) else []
    steps.append(_households_step(buy, lines, is_open=is_open))
    return [step for step in steps if step]


def _coordinators_step(buy: Buy, lines: tuple[HubLine, ...], *, is_open: bool) -> Step | None:
    if buy.stage == Buy.Stage.ASKING and not lines:
        why = "Choose what it draws on from the farms' price lists."
        return Step("Put in the first line", why, "add_line", "Add a line")
    if buy.stage == Buy.Stage.ASKING and is_open:
        why = "How the asks stand against containers and price breaks."
        return Step("Watch it fill", why, "standing", "How it stands")
    return {
        Buy.Stage.ASKING: Step(
            "Choose the containers", "Asks are closed. Then call the order in.", "lots", "Lot plans"
        ),
        Buy.Stage.CALLED_IN: Step(
            "Tally at the barn", "Count the containers and weigh them.", "tally", "Tally"
        ),
        Buy.Stage.COLLECTED: Step(
            "Divide what came",
            "See what each rule would give, and publish one.",
            "divide",
            "Divide",
        ),
        Buy.Stage.DIVIDED: Step(
            "Charge and settle", "The produce, the trip and the farms' bills.", "costs", "Costs"
        ),
    }.get(Buy.Stage(buy.stage))


def _households_step(buy: Buy, lines: tuple[HubLine, ...], *, is_open: bool) -> Step | None:
    has_asked = any(each.mine for each in lines)
    if is_open and lines and not has_asked:
        first = lines[0].line
        why = "Say how much you want, and change your mind until the close."
        return Step(f"Ask for {first.produce}", why, "ask", "Ask", line_id=first.pk)
    if buy.stage == Buy.Stage.DIVIDED and has_asked:
        return Step("Fetch your share", f"At {buy.pickup_place}.", "pickup", "Pickup")
    return None


# ---- the list of buys -----------------------------------------------------------------------
def buys_listed(member: Member, *, past: bool) -> QuerySet[Buy]:
    """The buys of a co-op under way, the next close first; or the past ones, the latest first.

    Each has `households_asking` and `my_asks`, the number of lines that the member's household
    asks for.
    """
    mine = Q(lines__asks__household=member.household_id)
    asks = Q(lines__asks__wanted__gt=0)
    listed = buys_in(member.coop).annotate(
        households_asking=Count("lines__asks__household", filter=asks, distinct=True),
        my_asks=Count("lines__asks", filter=asks & mine, distinct=True),
    )
    if past:
        return listed.exclude(stage__in=UNDER_WAY).order_by("-asks_close_at", "-id")
    return listed.filter(stage__in=UNDER_WAY).order_by("asks_close_at", "id")
