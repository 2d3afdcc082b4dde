"""A batch: one household's produce becoming one product, in jars and canner loads."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from coop.core.preserving.heed import cautions_for
from coop.core.preserving.pounds import Pounds, exact_pounds, up_to_tenth, whole_count
from coop.core.preserving.process import Process, find_process
from coop.core.preserving.yields import JarRange, Rates, rates_of
from coop.core.tables import rule


@dataclass(frozen=True)
class LoadFill:
    """The last load is not full: what fills it, and what left out saves it.

    Pounds are None where the jars were typed and no yield says what they hold.
    """

    jars_more: int
    pounds_more: Fraction | None
    jars_fewer: int
    pounds_fewer: Fraction | None


@dataclass(frozen=True)
class BatchPlan:
    """A batch as far as the published figures tell it.

    Jars are whole full jars; `loads` hold the likely ones, the last of them `last_load` jars (0
    where there is none); `fill` is None when that is full. `recipe_batches` is None where it is no
    tested recipe. Stove minutes are of all loads one after another, from a loaded canner until its
    jars may be lifted out. `yield_source` is empty where the jars were typed.
    """

    jars_low: int
    jars_likely: int
    jars_high: int
    loads: int
    process: Process
    cautions: tuple[str, ...]
    pounds: Fraction
    jars_per_load: int
    last_load: int
    fill: LoadFill | None
    recipe_batches: Fraction | None
    stove_minutes_low: int
    stove_minutes_high: int
    yield_source: tuple[str, ...]


def plan_batch(  # noqa: PLR0917
    produce: str,
    product: str,
    pounds: Pounds,
    pack: str,
    method: str,
    jar: str,
    jars_per_load: int,
    altitude_ft: int,
    option: int = 1,
) -> BatchPlan:
    """What so many pounds become: jars, loads, the tested process and what to heed.

    Parameters:
        produce, product, pack, method, jar, altitude_ft, option: as `find_process`.
        pounds: weight as bought, 0 or more.
        jars_per_load: jars of this size that go into the canner at once, 1 or more.

    Raises: NoTestedProcess; NoPublishedYield where nothing is published by the pound; ValueError
    for pounds below 0 or no number, and for less than one jar to a load.

    >>> corn = plan_batch("sweet_corn", "whole_kernel", 63, "hot", "dial_gauge", "quart", 7, 5200)
    >>> corn.jars_low, corn.jars_likely, corn.jars_high, corn.loads, corn.process.minutes
    (10, 14, 19, 2, 85)
    """
    exact = exact_pounds(pounds)
    whole_count("Jars to a load", jars_per_load, at_least=1)
    process = find_process(produce, product, pack, method, jar, altitude_ft, option)
    rates = rates_of(produce, product, jar)
    jars = rates.jars(exact)
    fill = _fill(jars.likely, jars_per_load, exact, rates)
    batches = exact / rates.recipe_lb if rates.recipe_lb else None
    return _plan(process, jars, jars_per_load, pounds=exact, fill=fill, recipe_batches=batches)


def plan_jars(  # noqa: PLR0917
    produce: str,
    product: str,
    jars: int,
    pack: str,
    method: str,
    jar: str,
    jars_per_load: int,
    altitude_ft: int,
    option: int = 1,
) -> BatchPlan:
    """A batch of so many jars, where nobody can say how many pounds they take.

    Parameters, errors: as `plan_batch`, with `jars` (0 or more) for the pounds.

    >>> pies = plan_jars("apples", "pie_filling", 9, "hot", "boiling_water", "quart", 7, 0)
    >>> pies.jars_likely, pies.loads, pies.last_load
    (9, 2, 2)
    """
    whole_count("Jars", jars)
    whole_count("Jars to a load", jars_per_load, at_least=1)
    process = find_process(produce, product, pack, method, jar, altitude_ft, option)
    typed = JarRange(jars, jars, jars, ())
    fill = _fill(jars, jars_per_load, Fraction(0), None)
    return _plan(process, typed, jars_per_load, pounds=Fraction(0), fill=fill, recipe_batches=None)


def stove_minutes(process: Process) -> tuple[int, int]:
    """How long one load keeps its place on the stove, at least and at most, in minutes.

    Under pressure: heating until steam flows, venting, coming to pressure, the process, coming
    down, and the wait after the pressure is gone. In boiling water: heating to a boil, the process,
    and the wait with the heat off. All of it but the process is from the table of canner rules.

    >>> beans = find_process("snap_beans", "pieces", "hot", "dial_gauge", "quart", 0)
    >>> stove_minutes(beans)
    (80, 125)
    """
    low, high = (process.minutes + _around(process, end) for end in ("low", "high"))
    return low, high


def _around(process: Process, end: str) -> int:
    if process.psi is None:
        heat = rule("boiling_water", f"heat_to_boil_minutes_{end}")
        return ceil(heat + rule("boiling_water", "wait_after_heat_off_before_removing_jars"))
    parts = (
        f"heat_to_vent_minutes_{end}",
        "vent_minutes",
        f"pressurize_minutes_{end}",
        f"cool_down_minutes_{end}",
        "wait_after_zero_before_opening",
    )
    return ceil(sum(rule("pressure", part) for part in parts))


def _plan(
    process: Process,
    jars: JarRange,
    jars_per_load: int,
    *,
    pounds: Fraction,
    fill: LoadFill | None,
    recipe_batches: Fraction | None,
) -> BatchPlan:
    loads = ceil(Fraction(jars.likely, jars_per_load))
    low, high = stove_minutes(process)
    return BatchPlan(
        jars_low=jars.low,
        jars_likely=jars.likely,
        jars_high=jars.high,
        loads=loads,
        process=process,
        cautions=cautions_for(process, jars_per_load),
        pounds=pounds,
        jars_per_load=jars_per_load,
        last_load=jars.likely - (loads - 1) * jars_per_load if loads else 0,
        fill=fill,
        recipe_batches=recipe_batches,
        stove_minutes_low=loads * low,
        stove_minutes_high=loads * high,
        yield_source=jars.source,
    )


def _fill(jars: int, jars_per_load: int, pounds: Fraction, rates: Rates | None) -> LoadFill | None:
    full_loads, over = divmod(jars, jars_per_load)
    if not over:
        return None
    more = jars_per_load - over
    if rates is None:
        return LoadFill(more, None, over, None)
    kept = up_to_tenth(full_loads * jars_per_load * rates.likely)
    return LoadFill(
        jars_more=more,
        pounds_more=up_to_tenth((jars + more) * rates.likely - pounds),
        jars_fewer=over,
        pounds_fewer=pounds - kept,
    )
