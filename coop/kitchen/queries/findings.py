"""What the published tables say against a load, from its rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coop.core.preserving.as_run import Filled, Finding, Ran, mixed, shortfalls, untested_gauge
from coop.kitchen.models import Load, Lot


@dataclass(frozen=True)
class Findings:
    """`short` makes a load suspect; `other` is told with it.

    `says_gauge`: one of the others tells of a gauge that was not tested in time.
    """

    short: tuple[Finding, ...]
    other: tuple[Finding, ...]
    says_gauge: bool = False


def ran_of(load: Load) -> Ran:
    """A load for the core."""
    return Ran(load.method, load.minutes, load.psi, load.vent_minutes, load.altitude_ft)


def filled_of(lots: Iterable[Lot]) -> list[Filled]:
    """What was in the jars of lots, for the core."""
    return [Filled(lot.produce, lot.product, lot.pack, lot.jar, lot.option) for lot in lots]


def findings_of(load: Load, lots: Iterable[Lot]) -> Findings:
    """All that the tables say against a load with these lots. No query."""
    ran, filled = ran_of(load), filled_of(lots)
    gauge = untested_gauge(load.method, load.day, load.gauge_tested_on)
    other = tuple(each for each in (mixed(ran, filled), gauge) if each)
    return Findings(shortfalls(ran, filled), other, says_gauge=gauge is not None)
