"""Plays what the households of the demo plan, put up, and take from the shelf."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from decimal import Decimal
from functools import partial

from coop.buying.demo.script import steps
from coop.buying.models import Farm, Share
from coop.core.preserving.as_run import Filled
from coop.kitchen.actions.kitchens import KitchenTerms, add_kitchen
from coop.kitchen.actions.loads import AsRun, suspect_load, write_load
from coop.kitchen.actions.lots import JarsIn, Kept, count_out, new_lot
from coop.kitchen.actions.outcomes import OutcomeTerms, write_outcome
from coop.kitchen.actions.plans import PlanTerms, make_plan, plan_share
from coop.kitchen.actions.seals import tell_fates, try_seals
from coop.kitchen.actions.shelf import take
from coop.kitchen.actions.uses import UseTerms, add_use
from coop.kitchen.actions.warnings import read_warning, warn
from coop.kitchen.demo.script import Event, KitchenScript, Part, Stage
from coop.kitchen.models import Kitchen, Load, Lot, Plan, Use
from coop.kitchen.queries.lots import lot_for
from coop.kitchen.queries.ways import WayKey
from coop.people.models import Member

VENTED = 10  # minutes, as the table of canner rules says
WRITTEN_DOWN = timedelta(minutes=10)  # after the heat went off
TRIED = timedelta(hours=20)
KEY = ("product", "pack", "method", "jar", "option")
TERMS = ("jars", "jars_per_load", "acid", "syrup", "salt", "mouth")


def kitchen_events(script: KitchenScript, stage: Stage) -> Iterator[Event]:
    """Every act, each with its moment."""
    plays = {
        "kitchen": _kitchen_events,
        "plan": _plan_events,
        "load": _load_events,
        "put_up": _put_up_events,
        "take": _take_events,
    }
    for name, play in plays.items():
        for part in script.season[name]:
            yield from play(part, stage)


# ---- Kitchens and plans ---------------------------------------------------------------------
def _kitchen_events(part: Part, stage: Stage) -> Iterator[Event]:
    terms = KitchenTerms(part["name"], part["altitude_ft"], part["address"], part["note"])
    host = next(member for member in stage.members.values() if member.host)
    yield stage.moment(part), partial(add_kitchen, terms, by=host)


def _plan_events(part: Part, stage: Stage) -> Iterator[Event]:
    yield stage.moment(part), partial(_plan, part, stage)
    for position, use in enumerate(part["uses"]):
        if "done" in use:
            act = partial(_put_up, part["key"], position, use["done"], stage)
            yield stage.moment(use["done"]), act


def _plan(part: Part, stage: Stage) -> None:
    member = stage.speaker(part["household"])
    share = _share(part, stage) if "share_of" in part else None
    terms = PlanTerms(
        produce=part["produce"],
        tenths=share.amount if share else steps(part["pounds"], "weight"),
        kitchen=_kitchen(part, stage),
        farm=Farm.objects.get(coop=stage.coop, name=part["farm"]) if "farm" in part else None,
        note=part.get("note", ""),
    )
    plan = (
        plan_share(share.pk, terms, by=member)
        if share
        else make_plan(member.household, terms, by=member)
    )
    stage.made[part["key"]] = [_use(plan, use, by=member) for use in part["uses"]]


def _share(part: Part, stage: Stage) -> Share:
    title, produce = part["share_of"]
    return Share.objects.get(
        household=stage.household(part["household"]),
        division__line__produce=produce,
        division__line__buy__title=title,
        division__withdrawn_at=None,
    )


def _kitchen(part: Part, stage: Stage) -> Kitchen | None:
    if "kitchen" not in part:
        return None
    return Kitchen.objects.get(coop=stage.coop, name=part["kitchen"])


def _use(plan: Plan, part: Part, *, by: Member) -> Use:
    """Add a use; one that names no pounds takes what the others left of the plan."""
    left = plan.tenths - sum(use.tenths for use in plan.uses.all())
    terms = UseTerms(
        tenths=steps(part["pounds"], "weight") if "pounds" in part else left,
        tray_tenths=steps(part.get("tray", "0"), "weight"),
        **{name: part[name] for name in TERMS if name in part},
    )
    key = WayKey(part["way"], **{name: part[name] for name in KEY if name in part})
    return add_use(plan.pk, key, terms, by=by)


def _put_up(key: str, position: int, done: Part, stage: Stage) -> None:
    use = stage.made[key][position]
    day = stage.moment(done).date()
    terms = OutcomeTerms(
        tenths=steps(done["pounds"], "weight"),
        on=day,
        jars=done.get("jars", 0),
        dried_tenths=int(Decimal(done["dried"]) * 10) if "dried" in done else None,
        note=done.get("note", ""),
    )
    write_outcome(use.pk, terms, today=day, by=use.plan.by)


# ---- Loads and lots -------------------------------------------------------------------------
def _load_events(part: Part, stage: Stage) -> Iterator[Event]:
    ended = stage.moment(part)
    yield ended + WRITTEN_DOWN, partial(_write_load, part, ended, stage)
    for lot in part["lots"]:
        yield ended + 2 * WRITTEN_DOWN, partial(_count_out, lot, stage)
        if "sealed" in lot:
            yield ended + TRIED, partial(_try_seals, lot, stage)
    if "suspect" in part:
        yield stage.moment(part["suspect"]), partial(_suspect, part, stage)
    if "warn" in part:
        yield stage.moment(part["warn"]), partial(_warn, part, stage)
        for reader in part["warn"]["read"]:
            yield stage.moment(reader), partial(_read, part, reader["by"], stage)


def _write_load(part: Part, ended: datetime, stage: Stage) -> None:
    watcher = stage.speaker(part["watcher"])
    run = AsRun(
        canner=part["canner"],
        method=part["method"],
        ended_at=ended,
        minutes=part["minutes"],
        psi=part.get("psi"),
        vent_minutes=VENTED if "psi" in part else None,
        gauge_tested_on=stage.day(part["gauge_tested"]) if "gauge_tested" in part else None,
        kitchen=_kitchen(part, stage),
        watcher=watcher,
    )
    load = write_load(run, [_jars_in(lot, stage) for lot in part["lots"]], by=watcher)
    lots = load.lots.order_by("number")
    stage.made |= {lot["key"]: made for lot, made in zip(part["lots"], lots, strict=True)}


def _jars_in(part: Part, stage: Stage) -> JarsIn:
    use: Use = stage.made[part["plan"]][part.get("use", 0)]
    filled = Filled(use.plan.produce, use.product, use.pack, use.jar, use.option)
    return JarsIn(use.plan.household, filled, part["jars"], mouth=use.mouth, use=use)


def _count_out(part: Part, stage: Stage) -> None:
    lot: Lot = stage.made[part["key"]]
    by = stage.speaker(lot.household.name)
    count_out(lot.pk, part.get("came", part["jars"]), part.get("why", ""), by=by)


def _try_seals(part: Part, stage: Stage) -> None:
    lot: Lot = stage.made[part["key"]]
    by = stage.speaker(lot.household.name)
    try_seals(lot.pk, part["sealed"], by=by)
    if unsealed := {each["what"]: each["count"] for each in part.get("unsealed", [])}:
        tell_fates(lot.pk, unsealed, by=by)


def _suspect(part: Part, stage: Stage) -> None:
    load = _load(part, stage)
    suspect_load(load.pk, part["suspect"]["why"], by=load.by)


def _warn(part: Part, stage: Stage) -> None:
    said = part["warn"]
    warn(_load(part, stage), said["sentence"], by=stage.speaker(said["by"]))


def _read(part: Part, reader: str, stage: Stage) -> None:
    read_warning(_load(part, stage).warnings.get(), by=stage.speaker(reader))


def _load(part: Part, stage: Stage) -> Load:
    """A load of the script, by the first of its lots."""
    return Load.objects.get(lots=stage.made[part["lots"][0]["key"]])


# ---- The shelf ------------------------------------------------------------------------------
def _put_up_events(part: Part, stage: Stage) -> Iterator[Event]:
    yield stage.moment(part), partial(_keep, part, stage)


def _keep(part: Part, stage: Stage) -> None:
    """What is frozen or dried."""
    use: Use = stage.made[part["plan"]][part["use"]]
    kept = Kept(
        household=use.plan.household,
        way=part["way"],
        produce=use.plan.produce,
        form=use.product,
        count=part["jars"],
        made_on=stage.moment(part).date(),
        jar=use.jar,
        use=use,
    )
    stage.made[part["key"]] = new_lot(kept, by=use.plan.by)


def _take_events(part: Part, stage: Stage) -> Iterator[Event]:
    yield stage.moment(part), partial(_take, part, stage)


def _take(part: Part, stage: Stage) -> None:
    by = stage.speaker(stage.made[part["lot"]].household.name)
    given_to = stage.household(part["to"]) if "to" in part else None
    lot = lot_for(by, stage.made[part["lot"]].pk)
    take(lot, part["what"], part["count"], given_to=given_to, by=by)
