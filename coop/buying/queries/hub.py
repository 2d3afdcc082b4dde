"""The page of one buy: its lines, my asks, who asked, and what comes next for me."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from coop.buying.models import Ask, Buy, Line, Release, Share
from coop.buying.queries.asks import are_asks_open, households_in, open_releases
from coop.buying.queries.buys import buys_in
from coop.buying.queries.costs import costs_of
from coop.buying.queries.estimate import Past, estimate_of, past_of
from coop.buying.queries.line_costs import LineCost, line_costs
from coop.buying.queries.lines import Needs, lines_of, needs_of, open_asks
from coop.buying.queries.lots import counts_of, plans_of
from coop.buying.queries.pickup import Pickup, pickups_of
from coop.buying.rights import can_run
from coop.core.division import Rule
from coop.core.figures import counted
from coop.money.models import Account
from coop.people.models import Household, Member

AFTER_TALLY = (Buy.Stage.COLLECTED, Buy.Stage.DIVIDED, Buy.Stage.SQUARED)
UNDER_WAY = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


@dataclass(frozen=True)
class Mine:
    """What my household has of a line: its share, what it claimed, what the produce cost it.

    `claimed` is from the spare table, in base steps. `cost_cents` is None before it is charged.
    """

    share: Share | None = None
    claimed: int = 0
    cost_cents: int | None = None


@dataclass(frozen=True)
class HubLine:
    """One line of a buy as its page shows it.

    `about_cents` is what the produce would cost my household if asks closed now, while they are
    open; None where it asks for none, or would get none.
    """

    line: Line
    needs: Needs
    mine: Ask | None
    asks: tuple[Ask, ...]
    got: Mine
    about_cents: int | None = None

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
    pickups = pickups_of(buy) if buy.stage in AFTER_TALLY else []
    got = _got(buy, member, pickups)
    is_open = are_asks_open(buy)
    found = lines_of([buy])
    about = _about_cents(buy, member, found) if is_open else {}
    lines = tuple(
        _hub_line(line, member, got=got.get(line.pk, Mine()), about_cents=about.get(line.pk))
        for line in found
    )
    askers = {ask.household_id: ask.household for each in lines for ask in each.asks}
    return Hub(
        lines=lines,
        households=tuple(sorted(askers.values(), key=lambda home: (home.name.lower(), home.pk))),
        not_asking=tuple(home for home in households_in(member) if home.pk not in askers),
        releases=tuple(open_releases(buy)),
        is_open=is_open,
        steps=tuple(_steps(buy, member, lines, is_open=is_open, pickups=pickups)),
    )


def _hub_line(line: Line, member: Member, *, got: Mine, about_cents: int | None) -> HubLine:
    asks = tuple(open_asks(line))
    mine = next((ask for ask in asks if ask.household_id == member.household_id), None)
    return HubLine(line, needs_of(line), mine, asks, got, about_cents)


# ---- what my household would pay ------------------------------------------------------------
def _about_cents(buy: Buy, member: Member, lines: list[Line]) -> dict[int, int]:
    """What the produce of each line would cost the member's household if asks closed now."""
    home = member.household_id
    if not any(ask.household_id == home for line in lines for ask in open_asks(line)):
        return {}
    counts = counts_of(plans_of(lines))
    estimate = estimate_of(buy, lines, counts, pasts=_pasts(buy, lines))
    return {each.line.pk: cents for each in estimate.lines if (cents := each.cents.get(home, 0))}


def _pasts(buy: Buy, lines: list[Line]) -> dict[int, Past]:
    """The season so far, read once a measure: it is the same for all lines of a buy."""
    if buy.shortage_rule != Rule.SEASON:
        return {}
    first_of = {line.measure: line for line in reversed(lines)}
    pasts = {measure: past_of(line) for measure, line in first_of.items()}
    return {line.pk: pasts[line.measure] for line in lines}


# ---- what my household gets -----------------------------------------------------------------
def _got(buy: Buy, member: Member, pickups: list[Pickup]) -> dict[int, Mine]:
    """What the member's household has of each line that is divided, by the line's id."""
    if not pickups:
        return {}
    shares = {
        share.division.line_id: share
        for share in Share.objects.filter(
            household=member.household_id,
            division__line__buy=buy,
            division__withdrawn_at__isnull=True,
        ).select_related("division")
    }
    claimed = _claimed_by(_pickup_of(member, pickups))
    costs = line_costs(buy)
    account = Account.objects.filter(household=member.household_id).first()
    return {
        line_id: Mine(
            shares.get(line_id), claimed.get(line_id, 0), _cost_cents(costs.get(line_id), account)
        )
        for line_id in shares.keys() | claimed.keys()
    }


def _pickup_of(member: Member, pickups: list[Pickup]) -> Pickup | None:
    return next((each for each in pickups if each.household.pk == member.household_id), None)


def _claimed_by(pickup: Pickup | None) -> Counter[int]:
    claimed: Counter[int] = Counter()
    for parcel in pickup.parcels if pickup else []:
        if parcel.claim:
            claimed[parcel.line.pk] += parcel.amount
    return claimed


def _cost_cents(cost: LineCost | None, account: Account | None) -> int | None:
    return cost.cents_of(account) if cost and account else None


# ---- what comes next ------------------------------------------------------------------------
def _steps(
    buy: Buy,
    member: Member,
    lines: tuple[HubLine, ...],
    *,
    is_open: bool,
    pickups: list[Pickup],
) -> list[Step]:
    """The coordinator's next act first, then the household's."""
    steps = []
    if can_run(member, buy):
        is_divided = buy.stage == Buy.Stage.DIVIDED
        steps.append(
            _step_after_division(buy, member, pickups)
            if is_divided
            else _coordinators_step(buy, lines, is_open=is_open)
        )
    steps.append(_households_step(buy, lines, is_open=is_open, mine=_pickup_of(member, pickups)))
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
    }.get(Buy.Stage(buy.stage))


def _step_after_division(buy: Buy, member: Member, pickups: list[Pickup]) -> Step:
    """What is to be charged or paid first, then who is still to fetch, then the treasurer."""
    costs = costs_of(buy)
    is_unpaid = any(farm.open_cents > 0 for farm in costs.farms)
    if costs.is_to_charge or costs.on_table_cents or is_unpaid:
        why = "The produce, the trip and the farms' bills."
        return Step("Charge and settle", why, "costs", "Costs")
    waiting = sum(each.state == "waiting" for each in pickups)
    if waiting:
        why = "All is charged, and the farms are paid."
        return Step(f"{counted(waiting, 'household')} still to fetch", why, "pickup", "Pickup")
    title = "Square up" if member.treasurer else "Waiting for the treasurer to square up"
    return Step(title, "All is charged and fetched, and the farms are paid.", "money", "Money")


def _households_step(
    buy: Buy, lines: tuple[HubLine, ...], *, is_open: bool, mine: Pickup | None
) -> Step | None:
    has_asked = any(each.mine for each in lines)
    if is_open and lines and not has_asked:
        first = lines[0].line
        why = "Say how much you want, and change your mind until the close."
        return Step(f"Ask for {first.produce}", why, "ask", "Ask", line_id=first.pk)
    if buy.stage == Buy.Stage.DIVIDED and mine and mine.waiting:
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
