"""When seals are tried, and what may still be done with a jar that did not seal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from django.db.models import F, Q, QuerySet

from coop.core.preserving.as_run import source_of_rule
from coop.core.tables import rule, spelled_out
from coop.kitchen.models import Fate, Load, Lot, Way
from coop.kitchen.queries.dangers import Danger, dangers_of
from coop.kitchen.queries.lots import lots_of, shelf_of, with_shelf
from coop.people.models import Member


@dataclass(frozen=True)
class SealTimes:
    """The hours of one load, from the published ones; `from_` and `until` are when to try seals."""

    from_: datetime
    until: datetime
    reprocess_until: datetime

    def is_early(self, now: datetime) -> bool:
        """Whether the jars still have to stand."""
        return now < self.from_

    def is_late(self, now: datetime) -> bool:
        """Whether the hours to try the seals are over."""
        return now > self.until

    def can_reprocess(self, now: datetime) -> bool:
        """Whether a jar that did not seal may still be processed again."""
        return now <= self.reprocess_until


@dataclass(frozen=True)
class Step:
    """What a lot waits for: `what` is count_out, seals or unsealed; see `step_of`.

    `dangers` is what speaks against eating its jars.
    """

    lot: Lot
    what: str
    times: SealTimes
    left: int
    is_early: bool
    is_late: bool
    dangers: Sequence[Danger] = ()

    @property
    def jars(self) -> int:
        """How many it is about: unsealed ones, else those that came out or went in."""
        out = self.lot.counted_out
        return self.left or (self.lot.counted_in if out is None else out)

    @property
    def must_stand(self) -> bool:
        """Whether there is nothing to do before its hour."""
        return self.what == "seals" and self.is_early


def seal_times(load: Load) -> SealTimes:
    """When the seals of a load are tried, and until when its jars may be processed again."""
    return SealTimes(
        load.ended_at + _hours("cooling_hours_low"),
        load.ended_at + _hours("cooling_hours_high"),
        load.ended_at + _hours("reprocess_within_hours"),
    )


def hours(name: str) -> int:
    """So many hours, as one of the rules for both kinds of canner says."""
    return int(rule("both", name))


def headspace_to_freeze() -> Fraction:
    """Inches to leave in a jar that did not seal and goes into the freezer."""
    return rule("both", "unsealed_jar_freezing_headspace")


def source_of_hours() -> str:
    """The first source of the hours; the table of rules for canners names them all."""
    return spelled_out(source_of_rule("both", "cooling_hours_low")[0])


def may_reprocess(lot: Lot, now: datetime) -> bool:
    """Whether jars of a lot that did not seal may be processed again now.

    Not once the published hours are over, and not where the whole load is suspect: then the food
    stood around without having been processed as tested.
    """
    load = lot.load
    return load is not None and not load.suspect_at and seal_times(load).can_reprocess(now)


def step_of(lot: Lot, now: datetime, dangers: Sequence[Danger] = ()) -> Step | None:
    """What a lot out of `with_shelf` waits for; None where it waits for nothing."""
    load = lot.load
    if load is None:
        return None
    shelf, times = shelf_of(lot), seal_times(load)
    what, left = "", 0
    if lot.counted_out is None:
        what = "count_out"
    elif shelf.sealed is None:
        what = "seals"
    elif shelf.fateless > 0:
        what, left = "unsealed", shelf.fateless
    if not what:
        return None
    is_late = times.is_late(now) if what != "unsealed" else not may_reprocess(lot, now)
    return Step(lot, what, times, left, times.is_early(now), is_late, dangers)


def steps_of(member: Member, now: datetime) -> list[Step]:
    """What the lots of a member's household wait for, the oldest first; five queries."""
    waiting = unfinished(with_shelf(lots_of(member.coop).filter(household=member.household_id)))
    lots = list(waiting.order_by("load__ended_at", "number"))
    dangers = dangers_of(member.coop, lots)
    steps = [step_of(lot, now, dangers.get(lot.pk, ())) for lot in lots]
    return [step for step in steps if step]


def unfinished(lots: QuerySet[Lot]) -> QuerySet[Lot]:
    """Of lots with their sums: those to be counted out, to be tried, or unsealed without a fate."""
    return lots.filter(
        Q(counted_out__isnull=True) | Q(sealed__isnull=True) | Q(unsealed__gt=F("fated")),
        way=Way.CAN,
    )


def fates_told(lot: Lot) -> dict[str, Fate]:
    """What became of the unsealed jars of a lot, by what it was."""
    return {fate.what: fate for fate in lot.fates.select_related("new_lot", "by")}


def _hours(name: str) -> timedelta:
    return timedelta(hours=hours(name))
