"""What a plan's produce is made into: adding, changing and removing a use."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from coop.core.preserving import (
    NoAcid,
    NoPublishedYield,
    NoTestedProcess,
    Process,
    acid_needed,
    acids_for,
    find_process,
    salt_needed,
    syrup_words,
    syrups_for,
)
from coop.jars.kinds import Mouth
from coop.kitchen.actions.plans import open_plan
from coop.kitchen.errors import AlreadyPutUp, NeedsAcid, NotPublished, Refused
from coop.kitchen.models import Outcome, Plan, Use, Way
from coop.kitchen.queries.altitude import altitude_of
from coop.kitchen.queries.plans import use_for
from coop.kitchen.queries.ways import FREEZER_CONTAINERS, WayKey, row_of
from coop.people.models import Member


@dataclass(frozen=True)
class UseTerms:
    """How much of a plan goes one way: tenths of a pound, or `jars` where no yield is published.

    mouth: of the jars. jars_per_load: of what is canned, 1 or more. acid: one of those that the
    table lists for the jar, where it asks for one. tray_tenths: prepared food on a dryer's tray.
    """

    tenths: int = 0
    jars: int | None = None
    mouth: str = Mouth.REGULAR
    jars_per_load: int = 7
    acid: str = ""
    syrup: str = ""
    salt: bool = False
    tray_tenths: int = 0


def add_use(plan_id: int, key: WayKey, terms: UseTerms, *, by: Member) -> Use:
    """Plan some of the produce to be kept one way, as it is published for the plan's altitude."""
    with transaction.atomic():
        plan = open_plan(plan_id, by=by)
        _check(plan, key, terms)
        last = plan.uses.aggregate(last=Max("position"))["last"]
        position = 0 if last is None else last + 1
        return Use.objects.create(plan=plan, position=position, **vars(key), **vars(terms))


def change_use(use_id: int, terms: UseTerms, *, by: Member) -> Use:
    """Change how much, the jars, the load, acid, syrup or salt of a use that is not put up yet."""
    with transaction.atomic():
        use = _waiting(use_id, by=by)
        _check(use.plan, key_of(use), terms)
        for name, value in vars(terms).items():
            setattr(use, name, value)
        use.save(update_fields=list(vars(terms)))
        return use


def remove_use(use_id: int, *, by: Member) -> Plan:
    """Take a use out of its plan, as long as nothing of it was put up. Returns the plan."""
    with transaction.atomic():
        use = _waiting(use_id, by=by)
        if use.lots.exists():
            raise AlreadyPutUp("There are jars of this, so it stays in the plan.")
        plan = use.plan
        use.delete()
        return plan


def key_of(use: Use) -> WayKey:
    """The way that a use goes."""
    return WayKey(
        Way(use.way),
        use.product,
        under=use.under,
        pack=use.pack,
        method=use.method,
        jar=use.jar,
        option=use.option,
    )


def _waiting(use_id: int, *, by: Member) -> Use:
    """A use to change, its plan locked, which nothing was put up of."""
    open_plan(use_for(by, use_id).plan_id, by=by)
    use = use_for(by, use_id)
    if Outcome.objects.filter(use=use).exists():
        raise AlreadyPutUp("This was put up already. What came of it can be corrected instead.")
    return use


def _check(plan: Plan, key: WayKey, terms: UseTerms) -> None:
    try:
        row = row_of(plan.produce, key, altitude_of(plan))
    except (NoTestedProcess, NoPublishedYield) as refusal:
        raise NotPublished(refusal.sentence) from refusal
    _check_amount(terms, has_yield=row.has_yield)
    if key.way == Way.CAN:
        _check_canned(plan, key, terms)
    elif key.way == Way.FREEZE and key.jar not in FREEZER_CONTAINERS:
        raise Refused("Pints or quarts: which containers do you freeze in?", field="jar")
    elif key.way == Way.DRY and terms.tray_tenths < 1:
        raise Refused("Say how much one tray takes.", field="tray_tenths")


def _check_amount(terms: UseTerms, *, has_yield: bool) -> None:
    if has_yield and terms.tenths < 1:
        raise Refused("Say how many pounds go into it.", field="pounds")
    if not has_yield and not terms.jars:
        raise Refused("No yield is published for it: say how many jars.", field="jars")


def _check_canned(plan: Plan, key: WayKey, terms: UseTerms) -> None:
    process = find_process(
        key.under or plan.produce,
        key.product,
        key.pack,
        key.method,
        key.jar,
        altitude_of(plan),
        key.option,
    )
    if terms.jars_per_load < 1:
        raise Refused("A load holds one jar at least.", field="jars_per_load")
    _check_acid(process, terms.acid)
    if terms.syrup and terms.syrup not in syrups_for(process):
        raise Refused(f"No {syrup_words(terms.syrup)} is published for this.", field="syrup")
    if terms.salt and salt_needed(process, 1) is None:
        raise Refused("No salt is published for these jars.", field="salt")


def _check_acid(process: Process, acid: str) -> None:
    try:
        if acids_for(process):
            acid_needed(process, acid, 1)
        elif acid:
            raise Refused("No acid of its own goes into these jars.", field="acid")
    except NoAcid as refusal:
        raise NeedsAcid(refusal.sentence, field="acid") from refusal
