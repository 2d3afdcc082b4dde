"""How far behind its asks each household has fallen this season: its carry."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

from coop.buying.models import Line, Share, SpareClaim
from coop.people.models import Coop


@dataclass(frozen=True)
class Served:
    """What one household asked and got of one line, in base steps; never more got than asked."""

    line: Line
    asked: int
    received: int

    @property
    def short(self) -> int:
        """What it lacked."""
        return self.asked - self.received


@dataclass(frozen=True)
class Carry:
    """A household's season so far in one measure, in base steps."""

    served: tuple[Served, ...] = ()

    @property
    def asked(self) -> int:
        """What it asked, over the season."""
        return sum(each.asked for each in self.served)

    @property
    def received(self) -> int:
        """What it got of what it asked."""
        return sum(each.received for each in self.served)

    @property
    def short(self) -> int:
        """How far behind it is."""
        return self.asked - self.received

    @property
    def fill(self) -> Fraction:
        """Which part it got of what it asked; 1 for who asked nothing yet."""
        return Fraction(self.received, self.asked) if self.asked else Fraction(1)

    @property
    def worst(self) -> Served | None:
        """Where it fell short the most, the latest of equals."""
        short = [each for each in self.served if each.short]
        return max(short, key=lambda each: (each.short, each.line.buy.pickup_from), default=None)


def carries_before(line: Line) -> dict[int, Carry]:
    """The carry of every household that asked this season, without this line's own buy.

    A season is a calendar year by the co-op's clocks. It counts standing divisions of the same
    measure; the lines of one buy leave each other out, so that the order in which they are
    published changes nothing. What was shared counts, fetched or not, and so does what was claimed
    from the spare table, up to what was asked: a surplus is no debt.
    """
    year = line.buy.pickup_from.astimezone(ZoneInfo(line.buy.coop.time_zone)).year
    shares = [
        share
        for share in _shares_of_season(line.buy.coop, line.measure, year)
        if share.division.line.buy_id != line.buy_id
    ]
    claimed = _claimed({share.division_id for share in shares})
    served: defaultdict[int, list[Served]] = defaultdict(list)
    for share in shares:
        received = share.amount + claimed.get((share.division_id, share.household_id), 0)
        served[share.household_id].append(
            Served(share.division.line, share.wanted, min(share.wanted, received))
        )
    return {household: Carry(tuple(lines)) for household, lines in served.items()}


def _shares_of_season(coop: Coop, measure: str, year: int) -> Iterable[Share]:
    zone = ZoneInfo(coop.time_zone)
    start = datetime(year, 1, 1, tzinfo=zone).astimezone(UTC)
    end = datetime(year + 1, 1, 1, tzinfo=zone).astimezone(UTC)
    return (
        Share.objects.filter(
            division__line__buy__coop=coop,
            division__line__measure=measure,
            division__line__buy__pickup_from__gte=start,
            division__line__buy__pickup_from__lt=end,
            division__withdrawn_at__isnull=True,
        )
        .select_related("division__line__buy")
        .order_by("division__line__buy__pickup_from", "division_id", "id")
    )


def _claimed(divisions: set[int]) -> dict[tuple[int, int], int]:
    """What each household claimed from others, by division."""
    claimed: defaultdict[tuple[int, int], int] = defaultdict(int)
    claims = SpareClaim.objects.filter(spare__division_id__in=divisions).values_list(
        "spare__division_id", "household_id", "amount", "spare__share__household_id"
    )
    for division, taker, amount, owner in claims:
        if taker != owner:
            claimed[division, taker] += amount
    return dict(claimed)
