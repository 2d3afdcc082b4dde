"""From a use to its figures: jars, loads, minutes and what goes into each jar. No query at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from coop.core.preserving import (
    Amount,
    BatchPlan,
    DryPlan,
    FreezePlan,
    NoAcid,
    NoPublishedYield,
    NoTestedProcess,
    Process,
    Syrup,
    acid_needed,
    acids_for,
    freezing_blanch,
    plan_batch,
    plan_drying,
    plan_freezing,
    plan_jars,
    salt_needed,
    syrup_needed,
    syrups_for,
)
from coop.jars.kinds import kind_of
from coop.kitchen.models import Plan, Use, Way
from coop.kitchen.queries.altitude import altitude_of

TENTHS = 10


@dataclass(frozen=True)
class UseFigures:
    """What a use comes to at an altitude.

    process, batch: of what is canned; both None where there is no tested process, and `refused`
        then says so. freeze, dry: of what is frozen or dried.
    jars_low, jars_likely, jars_high: jars, or freezer containers; 0 where dried.
    kind: of jar (a key of `coop.jars.kinds`), None for what is not canned. lids: for the likely.
    acid, salt, syrup: for the likely jars in all; `acid_each` and `salt_each` for one jar.
    missing: a sentence about what is not published, or was not chosen and must be.
    """

    use: Use
    altitude_ft: int
    process: Process | None = None
    batch: BatchPlan | None = None
    freeze: FreezePlan | None = None
    dry: DryPlan | None = None
    jars_low: int = 0
    jars_likely: int = 0
    jars_high: int = 0
    kind: str | None = None
    lids: int = 0
    refused: NoTestedProcess | None = None
    acid: Amount | None = None
    acid_each: Amount | None = None
    salt: Amount | None = None
    salt_each: Amount | None = None
    syrup: Syrup | None = None
    blanch_minutes: Fraction | None = None
    blanch_note: str = ""
    blanch_source: tuple[str, ...] = ()
    missing: str = ""

    @property
    def is_sure(self) -> bool:
        """Whether the jars were typed in, so that they are no estimate."""
        return self.use.jars is not None


def figures_of(use: Use, altitude_ft: int) -> UseFigures:
    """The figures of one use, fetched with its plan, at an altitude in whole feet."""
    return _OF_WAY[Way(use.way)](use, altitude_ft)


def figures_of_plan(plan: Plan) -> list[UseFigures]:
    """The figures of every use of a plan, at the altitude of its kitchen."""
    altitude_ft = altitude_of(plan)
    return [figures_of(_with_its_plan(use, plan), altitude_ft) for use in plan.uses.all()]


def _with_its_plan(use: Use, plan: Plan) -> Use:
    use.plan = plan  # known already, so that nobody asks the database for it
    return use


def pounds(tenths: int) -> Fraction:
    """Tenths of a pound in pounds."""
    return Fraction(tenths, TENTHS)


def _canned(use: Use, altitude_ft: int) -> UseFigures:
    try:
        batch = batch_of(use, altitude_ft)
    except NoTestedProcess as refusal:
        return UseFigures(use, altitude_ft, kind=kind_of(use.jar, use.mouth), refused=refusal)
    except NoPublishedYield as refusal:
        return UseFigures(use, altitude_ft, missing=refusal.sentence)
    acid, acid_each, missing = _acid_of(use, batch)
    return UseFigures(
        use,
        altitude_ft,
        process=batch.process,
        batch=batch,
        jars_low=batch.jars_low,
        jars_likely=batch.jars_likely,
        jars_high=batch.jars_high,
        kind=kind_of(use.jar, use.mouth),
        lids=batch.jars_likely,
        acid=acid,
        acid_each=acid_each,
        salt=salt_needed(batch.process, batch.jars_likely) if use.salt else None,
        salt_each=salt_needed(batch.process, 1) if use.salt else None,
        syrup=_syrup_of(use, batch),
        missing=missing,
    )


def batch_of(use: Use, altitude_ft: int) -> BatchPlan:
    """The batch of a canned use: by the pound, or by the jars that were typed in.

    Raises: NoTestedProcess, NoPublishedYield.
    """
    where = (use.pack, use.method, use.jar, use.jars_per_load, altitude_ft, use.option)
    if use.jars is not None:
        return plan_jars(use.food, use.product, use.jars, *where)
    return plan_batch(use.food, use.product, pounds(use.tenths), *where)


def _acid_of(use: Use, batch: BatchPlan) -> tuple[Amount | None, Amount | None, str]:
    """The acid in all and in each jar, and a sentence where it must be chosen and is not."""
    try:
        if not acids_for(batch.process):
            return None, None, ""
        in_all = acid_needed(batch.process, use.acid, batch.jars_likely)
        return in_all, acid_needed(batch.process, use.acid, 1), ""
    except NoAcid as refusal:
        return None, None, refusal.sentence


def _syrup_of(use: Use, batch: BatchPlan) -> Syrup | None:
    if use.syrup not in syrups_for(batch.process):
        return None
    return syrup_needed(batch.process, use.syrup, batch.jars_likely)


def _frozen(use: Use, altitude_ft: int) -> UseFigures:
    produce, form = use.plan.produce, use.product
    if use.jars is not None:
        return _frozen_by_the_jar(use, altitude_ft, use.jars)
    try:
        plan = plan_freezing(produce, form, pounds(use.tenths), use.jar)
    except NoPublishedYield as refusal:
        return UseFigures(use, altitude_ft, missing=refusal.sentence)
    return UseFigures(
        use,
        altitude_ft,
        freeze=plan,
        jars_low=plan.containers_low,
        jars_likely=plan.containers_likely,
        jars_high=plan.containers_high,
        blanch_minutes=plan.blanch_minutes,
        blanch_note=plan.blanch_note,
        blanch_source=plan.source,
    )


def _frozen_by_the_jar(use: Use, altitude_ft: int, jars: int) -> UseFigures:
    try:
        blanch = freezing_blanch(use.plan.produce, use.product)
    except NoPublishedYield as refusal:
        return UseFigures(use, altitude_ft, missing=refusal.sentence)
    return UseFigures(
        use,
        altitude_ft,
        jars_low=jars,
        jars_likely=jars,
        jars_high=jars,
        blanch_minutes=blanch.minutes,
        blanch_note=blanch.note,
        blanch_source=blanch.source,
    )


def _dried(use: Use, altitude_ft: int) -> UseFigures:
    try:
        plan = plan_drying(
            use.plan.produce, use.product, pounds(use.tenths), pounds(use.tray_tenths)
        )
    except NoPublishedYield as refusal:
        return UseFigures(use, altitude_ft, missing=refusal.sentence)
    return UseFigures(use, altitude_ft, dry=plan)


_OF_WAY: dict[Way, Callable[[Use, int], UseFigures]] = {
    Way.CAN: _canned,
    Way.FREEZE: _frozen,
    Way.DRY: _dried,
}
