"""Plays how the households of the demo came to their things, and how they look after them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from coop.equipment.actions.cares import care_done
from coop.equipment.actions.gauge_tests import Reading, add_gauge_test
from coop.equipment.actions.keeping import DaySpan, set_hours
from coop.equipment.actions.things import ThingTerms, create_thing
from coop.equipment.kinds import KINDS
from coop.equipment.models import Care, Thing
from coop.kitchen.demo.script import Event, KitchenScript, Part, Stage
from coop.people.models import Member

AS_WRITTEN = (
    *("name", "home", "gauge", "canner_class", "trays", "watts", "btu", "deposit_cents"),
    *("fee_cents", "fee_per", "use_note", "cleaning_note"),
)
WEEKDAYS, WEEKEND = range(5), range(5, 7)


def thing_events(script: KitchenScript, stage: Stage) -> Iterator[Event]:
    """Every act, each with its moment."""
    plays = {"thing": _list, "gauge_test": _test, "care": _care}
    for name, play in plays.items():
        for part in script.equipment[name]:
            yield stage.moment(part), partial(play, part, stage)


def thing_of(name: str, stage: Stage) -> Thing:
    """A thing by its name."""
    return Thing.objects.select_related("owner").get(coop=stage.coop, name=name)


def keeper_of(thing: Thing, stage: Stage) -> Member:
    """Who keeps a thing: its owner, or the steward."""
    if thing.owner:
        return stage.speaker(thing.owner.name)
    return next(member for member in stage.members.values() if member.steward)


def _list(part: Part, stage: Stage) -> None:
    owner = stage.household(part["owner"]) if "owner" in part else None
    steward = next(member for member in stage.members.values() if member.steward)
    by = stage.speaker(part["owner"]) if owner else steward
    thing = create_thing(part["kind"], _terms(part), by=by, owner=owner, parts=part.get("parts"))
    if "hours" in part:
        set_hours(thing.pk, _week(part["hours"]), by=by)


def _terms(part: Part) -> ThingTerms:
    return ThingTerms(
        **{name: part[name] for name in AS_WRITTEN if name in part},
        weight_tenths=tenths(part["weight"]) if "weight" in part else None,
        amps_tenths=tenths(part["amps"]) if "amps" in part else None,
        not_on=tuple(part.get("not_on", ())),
        turnaround_minutes=KINDS[part["kind"]].turnaround_minutes,
        longest_minutes=part["longest_hours"] * 60,
    )


def _week(hours: Part) -> Iterator[DaySpan]:
    """The hours of a week: of its weekdays and of its weekend, in whole hours of the day."""
    for days, name in ((WEEKDAYS, "weekdays"), (WEEKEND, "weekend")):
        for day in days:
            yield from ((day, start * 60, end * 60) for start, end in hours[name])


def _test(part: Part, stage: Stage) -> None:
    thing = thing_of(part["thing"], stage)
    reading = Reading(
        tested_on=stage.day(part["tested_on"]),
        tester=part["tester"],
        true_tenths=tenths(part["true"]),
        read_tenths=tenths(part["read"]),
        note=part.get("note", ""),
    )
    add_gauge_test(thing.pk, reading, by=keeper_of(thing, stage))


def _care(part: Part, stage: Stage) -> None:
    care = Care.objects.get(thing__coop=stage.coop, thing__name=part["thing"], what=part["what"])
    care_done(care.pk, by=stage.speaker(part["by"]), note=part.get("note", ""))


def tenths(text: str) -> int:
    """Tenths of an amount as people write it: "11.5" psi is 115."""
    return int(Decimal(text) * 10)
