"""A plan as its page and its card show it: a plate a use, and what is left."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from coop.core.figures import counted, mixed_number, quantity
from coop.core.preserving import (
    form_words,
    jar_words,
    method_words,
    needs_recipe_acid,
    pack_words,
    product_words,
)
from coop.core.tables import caution, rule
from coop.jars.kinds import Mouth
from coop.kitchen.models import Outcome, Plan, Use, Way
from coop.kitchen.queries.altitude import altitude_of, place_of
from coop.kitchen.queries.figures import UseFigures, figures_of_plan, pounds
from coop.kitchen.queries.thing_wanted import hours_of_part, thing_query
from coop.kitchen.queries.ways import has_options
from coop.kitchen.queries.yields import OwnYield, Thing, own_yield

MINUTES_AN_HOUR = 60
PINTS = {"pint": 1, "quart": 2}
#: Above this boiling water needs more minutes to can in (caution altitude_1), so that somebody
#: will ask the same of blanching.
FROM_HERE_WATER_BOILS_COOLER_FT = 1000
MOST_LOADS_DRAWN, MOST_JARS_DRAWN = 8, 24
WEIGHT = "weight"


@dataclass(frozen=True)
class Plate:
    """One use with its figures, and what our own batches gave where there are any."""

    figures: UseFigures
    outcome: Outcome | None
    own: OwnYield | None

    @property
    def use(self) -> Use:
        """The use itself."""
        return self.figures.use

    @property
    def title(self) -> str:
        """What it is: "Whole kernel, canned", "Kernels, frozen"."""
        return title_of(self.use)

    @property
    def thing_query(self) -> str:
        """Where a time on a canner or a dryer is found for it, as a query; or nothing."""
        return thing_query(self.use, self.figures, self.title)

    @property
    def part_said(self) -> str:
        """That the time that is looked for is a part of what its loads take; else nothing."""
        hours, batch = hours_of_part(self.figures), self.figures.batch
        if hours is None or batch is None:
            return ""
        loads = f"all {batch.loads} loads take" if batch.loads > 1 else "the load takes"
        return f"for {hours} h of the {self.stove_said} that {loads}"

    @property
    def is_canned(self) -> bool:
        """Whether it goes into a canner."""
        return self.use.way == Way.CAN

    @property
    def is_frozen(self) -> bool:
        """Whether it goes into the freezer."""
        return self.use.way == Way.FREEZE

    @property
    def how(self) -> str:
        """Pack and canner, with the option where the tables print several."""
        use = self.use
        if not self.is_canned:
            return ""
        option = ""
        if self.figures.process and has_options(self.figures.process):
            option = f", option {use.option}"
        return f"{pack_words(use.pack)}, {method_words(use.method)}{option}"

    @property
    def jar_said(self) -> str:
        """The jars by size and mouth, or the freezer's containers."""
        jars = jar_words(self.use.jar, self.figures.jars_likely)
        if self.is_frozen:
            return f"{jar_words(self.use.jar)} freezer containers"
        return f"{jars}, {Mouth(self.use.mouth).label}"

    @property
    def vent_minutes(self) -> Fraction | None:
        """Minutes of free steam before the pressure is let up; None in boiling water."""
        process = self.figures.process
        return rule("pressure", "vent_minutes") if process and process.psi else None

    @property
    def blanch_altitude_said(self) -> str:
        """That no other minutes of blanching are printed for altitude; nothing where it is low."""
        figures = self.figures
        is_timed = bool(figures.blanch_minutes or (figures.dry and figures.dry.blanches))
        if not is_timed or figures.altitude_ft <= FROM_HERE_WATER_BOILS_COOLER_FT:
            return ""
        return (
            "The tables give no other blanching time for altitude. Ask your local extension "
            f"office what holds at {figures.altitude_ft:,} ft."
        )

    @property
    def freezer_said(self) -> str:
        """The likely containers in both sizes: "15 pints, or 7 1/2 quarts"."""
        pints = self.figures.jars_likely * PINTS[self.use.jar]
        quarts = mixed_number(Fraction(pints) / PINTS["quart"])
        return f"{counted(pints, 'pint')}, or {quarts} {'quart' if quarts == '1' else 'quarts'}"

    @property
    def has_recipe_acid(self) -> bool:
        """Whether the acid is that of the tested recipe."""
        process = self.figures.process
        return bool(process and not self.figures.missing and needs_recipe_acid(process))

    @property
    def stove_said(self) -> str:
        """Hours that the canner keeps its place on the stove."""
        batch = self.figures.batch
        if batch is None:
            return ""
        return hours_said(batch.stove_minutes_low, batch.stove_minutes_high)

    @property
    def band_said(self) -> str:
        """The band of altitude that the row of the table holds for."""
        process = self.figures.process
        if process is None:
            return ""
        if process.altitude_high_ft is None:
            return f"from {process.altitude_low_ft:,} ft up"
        return f"{process.altitude_low_ft:,} to {process.altitude_high_ft:,} ft"

    @property
    def loads(self) -> list[int]:
        """How many jars go into each load."""
        batch = self.figures.batch
        if batch is None or not batch.loads:
            return []
        return [batch.jars_per_load] * (batch.loads - 1) + [batch.last_load]

    @property
    def drawn(self) -> list[list[bool]]:
        """The loads as rows of full and empty places; none where nobody would count them."""
        batch, loads = self.figures.batch, self.loads
        if batch is None or len(loads) > MOST_LOADS_DRAWN or batch.jars_per_load > MOST_JARS_DRAWN:
            return []
        return [[place < jars for place in range(batch.jars_per_load)] for jars in loads]

    @property
    def last_load_said(self) -> str:
        """How full the last load is, and what would fill it or save it."""
        batch = self.figures.batch
        if batch is None or not batch.loads:
            return ""
        if batch.fill is None:
            return "Every load is full."
        fill, count = batch.fill, batch.loads
        name = f"Load {count}" if count > 1 else "The load"
        more = _or_jars(fill.pounds_more, fill.jars_more)
        said = f"{name} holds {batch.last_load} of {batch.jars_per_load}: {more} more would fill it"
        if count == 1:
            return f"{said}."
        return f"{said}, or put up {counted(fill.jars_fewer, 'jar')} fewer to save a load."

    @property
    def own_jars(self) -> tuple[int, int] | None:
        """The jars that our own rates would give of these pounds."""
        if self.own is None or self.figures.is_sure or self.use.way == Way.DRY:
            return None
        return self.own.of(pounds(self.use.tenths))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to heed, as far as it is of this use."""
        figures = self.figures
        for part in (figures.batch, figures.freeze, figures.dry):
            if part is not None:
                return part.cautions
        if self.is_frozen and not figures.missing:
            return (caution("freezing_1").gist,)
        return ()

    @property
    def sources(self) -> tuple[str, ...]:
        """Keys of what the figures are from, each once."""
        figures = self.figures
        keys: list[str] = []
        if figures.batch is not None:
            keys += [*figures.batch.process.source, *figures.batch.yield_source]
        for part in (figures.freeze, figures.dry, figures.acid, figures.salt, figures.syrup):
            keys += part.source if part is not None else ()
        return tuple(dict.fromkeys([*keys, *figures.blanch_source]))


@dataclass(frozen=True)
class PlanSheet:
    """A plan with everything that its page says. Amounts are tenths of a pound."""

    plan: Plan
    altitude_ft: int
    place: str
    plates: tuple[Plate, ...]
    planned: int

    @property
    def left(self) -> int:
        """What no use has yet."""
        return max(0, self.plan.tenths - self.planned)

    @property
    def over(self) -> int:
        """What the uses want more than there is."""
        return max(0, self.planned - self.plan.tenths)

    @property
    def has_jars_typed(self) -> bool:
        """Whether some use is planned by the jar, so that its pounds are not known."""
        return any(plate.figures.is_sure and not plate.outcome for plate in self.plates)

    @property
    def is_put_up(self) -> bool:
        """Whether every use has its outcome."""
        return bool(self.plates) and all(plate.outcome for plate in self.plates)


def sheet_of(plan: Plan, yields: Iterable[OwnYield] = (), *, but: Use | None = None) -> PlanSheet:
    """The sheet of a plan that was fetched with its uses and outcomes. No query.

    What the use `but` takes is not counted as planned.
    """
    own = list(yields)
    plates = tuple(_plate(plan, figures, own) for figures in figures_of_plan(plan))
    return PlanSheet(
        plan=plan,
        altitude_ft=altitude_of(plan),
        place=place_of(plan),
        plates=plates,
        planned=planned_tenths(plan, but),
    )


def planned_tenths(plan: Plan, but: Use | None = None) -> int:
    """What the uses take: planned, or once it was put up what really went in."""
    return sum(
        outcome.tenths if (outcome := outcome_of(use)) else use.tenths
        for use in plan.uses.all()
        if use != but
    )


def outcome_of(use: Use) -> Outcome | None:
    """What was put up of a use that was fetched with it."""
    return getattr(use, "outcome", None)


def title_of(use: Use) -> str:
    """A use in words: "Whole kernel, canned"."""
    words = product_words if use.way == Way.CAN else form_words
    return f"{words(use.product).capitalize()}, {Way(use.way).label}"


def hours_said(low: int, high: int) -> str:
    """A range of minutes in hours.

    >>> hours_said(420, 555), hours_said(45, 55)
    ('7 h to 9 h 15 min', '45 to 55 min')
    """
    if high < MINUTES_AN_HOUR:
        return f"{low} to {high} min"
    return f"{_hours(low)} to {_hours(high)}"


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, MINUTES_AN_HOUR)
    parts = [f"{hours} h" if hours else "", f"{rest} min" if rest else ""]
    return " ".join(part for part in parts if part) or "0 min"


def _or_jars(weight: Fraction | None, jars: int) -> str:
    return counted(jars, "jar") if weight is None else f"about {quantity(weight * 10, WEIGHT)}"


def _plate(plan: Plan, figures: UseFigures, own: list[OwnYield]) -> Plate:
    use = figures.use
    thing = Thing(plan.produce, use.way, use.product, use.jar)
    return Plate(figures, outcome_of(use), own_yield(own, thing, plan.farm))
