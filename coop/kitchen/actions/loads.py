"""Loads: written down as they were run, mended, called suspect."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Max
from django.http import Http404
from django.utils import timezone

from coop.core.preserving.as_run import Finding, shortfalls
from coop.core.tables import METHODS, PRESSURE_METHODS
from coop.kitchen.actions.lots import JarsIn, put_lots
from coop.kitchen.actions.yes import crowded, require_yes
from coop.kitchen.errors import Refused
from coop.kitchen.models import Fate, Kitchen, Load, Lot
from coop.kitchen.notices import loads as notices
from coop.kitchen.queries.canners import shared_canner, tested_by
from coop.kitchen.queries.findings import filled_of, ran_of
from coop.kitchen.queries.lots import product_said
from coop.kitchen.rights import (
    can_act_for,
    require_change_load,
    require_keep_lot,
    require_suspect,
)
from coop.people.changes import record_change
from coop.people.locks import lock_people
from coop.people.models import Coop, Member

#: A clock on the stove and that of the server may differ a little.
CLOCKS_APART = timedelta(minutes=5)
LONGEST_WHY = Load._meta.get_field("suspect_why").max_length or 0
FIGURES = (
    *("canner", "method", "kitchen", "ended_at", "minutes", "psi", "vent_minutes", "restarts"),
    *("gauge_tested_on", "watcher", "watcher_name", "note"),
)


@dataclass(frozen=True)
class AsRun:
    """How a load was run: minutes, psi on the gauge (None in boiling water), who watched.

    `kitchen` None is a kitchen at the altitude of the co-op. The watcher is a member or a name.
    """

    canner: str
    method: str
    ended_at: datetime
    minutes: int
    psi: int | None = None
    vent_minutes: int | None = None
    restarts: int = 0
    gauge_tested_on: date | None = None
    kitchen: Kitchen | None = None
    watcher: Member | None = None
    watcher_name: str = ""
    note: str = ""


def write_load(
    run: AsRun,
    jars: Sequence[JarsIn],
    *,
    by: Member,
    ran_so: bool = False,
    again: Lot | None = None,
) -> Load:
    """Write a load down with its first lots. Any member may.

    A load that fell short of what is published, or holds more than any published canner takes, is
    refused until `ran_so` says that it was so; what fell short is then suspect from the start.
    `again` is a lot whose jars did not seal and went into this load: its jars among these become
    its new lot.
    """
    if not jars:
        raise Refused("Say whose jars were in it, at least one line.")
    with transaction.atomic():
        coop = lock_people(by.coop_id)
        run = _checked(run, by)
        load = Load(coop=coop, by=by)
        _set(load, run)
        _refuse_twice(load)
        short = shortfalls(ran_of(load), [each.filled for each in jars])
        require_yes(short, _crowded(load, jars), ran_so=ran_so)
        load.run = _next_run(load)
        _suspect_at_once(load, short)
        load.save()
        lots = put_lots(load, jars, by=by)
        if again is not None:
            _link(again, lots, by=by)
        sentence = f"Written down: {load}{_suspicion(load, '')}"
        record_change(load, sentence, coop=coop, by=by, after=_told(load))
        _tell_anew(load)
        return load


def edit_load(load_id: int, run: AsRun, *, by: Member, ran_so: bool = False) -> Load:
    """Mend the figures of a load. What it says of itself as suspect follows them."""
    with transaction.atomic():
        load = _lock_load(by, load_id)
        require_change_load(by, load)
        run, before, day = _checked(run, by), _told(load), load.day
        since = load.suspect_at
        filled = filled_of(load.lots.all())
        wrote_itself = load.suspect_why == _why(shortfalls(ran_of(load), filled))
        _set(load, run)
        _refuse_twice(load)
        if load.day != day:
            load.run = _next_run(load)
        short = shortfalls(ran_of(load), filled)
        require_yes(short, (), ran_so=ran_so)
        if wrote_itself or not load.suspect_at:
            load.suspect_at, load.suspect_why = None, ""
            _suspect_at_once(load, short, since=since)
        load.save()
        load.lots.update(made_on=load.day)
        sentence = f"Mended: {load}{_suspicion(load, before['suspect_why'])}"
        record_change(load, sentence, coop=load.coop, by=by, before=before, after=_told(load))
        _tell_anew(load)
        return load


def add_lot(load_id: int, jars: JarsIn, *, by: Member, ran_so: bool = False) -> Lot:
    """Put a lot into a load: who may change the load, and members of the lot's household."""
    with transaction.atomic():
        load = _lock_load(by, load_id)
        if not can_act_for(by, jars.household):
            require_change_load(by, load)
        had = filled_of(load.lots.all())
        before = shortfalls(ran_of(load), had)
        short = shortfalls(ran_of(load), [*had, jars.filled])
        new = [each for each in short if each not in before]
        require_yes(new, _crowded(load, [jars]), ran_so=ran_so)
        if short and not load.suspect_at:
            _suspect_at_once(load, short)
            load.save(update_fields=["suspect_at", "suspect_why"])
            sentence = f"A lot was added{_suspicion(load, '')}"
            record_change(load, sentence, coop=load.coop, by=by, after=_told(load))
        (lot,) = put_lots(load, [jars], by=by)
        _tell_anew(load)
        return lot


def suspect_load(load_id: int, why: str, *, by: Member) -> Load:
    """Call a load suspect, or say anew why it is: all its jars are then in doubt."""
    with transaction.atomic():
        load = _lock_load(by, load_id)
        require_suspect(by, load)
        if not why.strip():
            raise Refused("Say what went wrong.", field="why")
        before = {"suspect_why": load.suspect_why}
        load.suspect_at = load.suspect_at or timezone.now()
        load.suspect_why = why.strip()[:LONGEST_WHY]
        load.save(update_fields=["suspect_at", "suspect_why"])
        sentence = f"Called suspect: {load.suspect_why}"
        after = {"suspect_why": load.suspect_why}
        record_change(load, sentence, coop=load.coop, by=by, before=before, after=after)
        _tell_anew(load)
        return load


def _suspicion(load: Load, before: str) -> str:
    """What to add to a sentence of the history where a load became suspect, or is it no more."""
    if load.suspect_why == before:
        return ""
    return f"; suspect: {load.suspect_why}" if load.suspect_why else "; no longer suspect"


def _lock_load(member: Member, load_id: int) -> Load:
    """A load to change: its co-op takes turns, so that lots and runs are numbered once.

    Its lots and what hangs on them are locked too, before it is saved.
    """
    lock_people(member.coop_id)
    load = (
        Load.objects.select_related("coop", "by", "kitchen", "thing")
        .filter(coop=member.coop, pk=load_id)
        .first()
    )
    if load is None:
        raise Http404
    notices.lock_around(load)
    return load


def _checked(run: AsRun, by: Member) -> AsRun:
    """The figures of a run, with what its method has no use for left out."""
    if run.method not in METHODS:
        raise Refused("Choose the kind of canner.", field="method")
    if run.minutes <= 0:
        raise Refused("A load runs at least a minute.", field="minutes")
    if run.watcher is None and not run.watcher_name.strip():
        raise Refused("Say who watched it.", field="watcher")
    now = timezone.now()
    if run.ended_at > now + CLOCKS_APART:
        raise Refused("That is still to come: write it down when it is done.", field="ended_at")
    day = _day(run, by.coop)
    if run.gauge_tested_on and run.gauge_tested_on > day:
        raise Refused("The gauge was tested after this load.", field="gauge_tested_on")
    if run.method not in PRESSURE_METHODS:
        return replace(run, psi=None, vent_minutes=None, gauge_tested_on=None)
    if not run.psi:
        raise Refused("Say at what pressure it ran.", field="psi")
    if run.vent_minutes is None:
        raise Refused("Say for how long it vented; 0 if it did not.", field="vent_minutes")
    return run if run.method == "dial_gauge" else replace(run, gauge_tested_on=None)


def _day(run: AsRun, coop: Coop) -> date:
    """The day of a load, by the clocks of its co-op."""
    return run.ended_at.astimezone(ZoneInfo(coop.time_zone)).date()


def _set(load: Load, run: AsRun) -> None:
    """The figures of a run; a shared canner of that name is known, and when it was tested.

    A load keeps the canner that it ran in, also where that has another name since, or is retired.
    """
    same = (load.canner, load.method) == (run.canner, run.method)
    for name in FIGURES:
        setattr(load, name, getattr(run, name))
    load.day = _day(run, load.coop)
    if not (same and load.thing):
        load.thing = shared_canner(load.coop, run.canner, run.method)
    if load.thing and run.method == "dial_gauge" and not run.gauge_tested_on:
        load.gauge_tested_on = tested_by(load.thing, load.day)
    load.altitude_ft = run.kitchen.altitude_ft if run.kitchen else load.coop.altitude_ft
    if run.watcher is not None:
        load.watcher_name = ""


def _next_run(load: Load) -> int:
    """Loads of a day count from 1."""
    of_day = Load.objects.filter(coop=load.coop, day=load.day)
    return (of_day.aggregate(last=Max("run"))["last"] or 0) + 1


def _refuse_twice(load: Load) -> None:
    """No canner ends two loads in the same minute: a form that is sent twice makes one."""
    same = Load.objects.filter(
        coop=load.coop, canner__iexact=load.canner, ended_at=load.ended_at
    ).exclude(pk=load.pk)
    if found := same.first():
        raise Refused(
            f"{found} ended then and is written down already. Another canner needs another name.",
            field="canner",
        )


def _crowded(load: Load, jars: Iterable[JarsIn]) -> tuple[Finding, ...]:
    """What is too much for one load, these jars with those that it holds already."""
    more: Counter[str] = Counter()
    for each in jars:
        more[each.filled.jar] += each.count
    return crowded(load, more)


def _suspect_at_once(
    load: Load, short: Sequence[Finding], *, since: datetime | None = None
) -> None:
    if short:
        load.suspect_at, load.suspect_why = since or timezone.now(), _why(short)


def _why(short: Iterable[Finding]) -> str:
    """As many of the sentences as there is room for; the page of the load says them all."""
    why = " ".join(each.sentence for each in short)
    return why if len(why) <= LONGEST_WHY else f"{why[: LONGEST_WHY - 1]}…"


def _link(again: Lot, lots: Iterable[Lot], *, by: Member) -> None:
    """Say of the jars that were processed again which lot they are now."""
    require_keep_lot(by, again)
    fates = Fate.objects.filter(lot=again, what=Fate.What.REPROCESSED, new_lot__isnull=True)
    new = [
        lot
        for lot in lots
        if (lot.household_id, lot.produce) == (again.household_id, again.produce)
    ]
    if not new:
        raise Refused(
            f"One line has to be of {again.household.name}, {product_said(again)}: these are the "
            "jars that were processed again."
        )
    fates.update(new_lot=new[0])


def _tell_anew(load: Load) -> None:
    """What is told of a load, and of all loads that hang together with it."""
    notices.renew_around(load.coop, load.lots.values_list("pk", flat=True))


def _told(load: Load) -> dict[str, Any]:
    """The figures for the history."""
    told: dict[str, Any] = {"suspect_why": load.suspect_why, "altitude_ft": load.altitude_ft}
    for name in FIGURES:
        value = getattr(load, name)
        told[name] = value if isinstance(value, int | str | None) else str(value)
    return told
