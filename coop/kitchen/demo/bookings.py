"""Plays who of the demo has which thing when: booked, out and back, moved, cancelled, in line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from coop.buying.models import Buy
from coop.equipment.actions.booking import Wish, book, book_weekly
from coop.equipment.actions.changing import cancel
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.money import settle_deposit
from coop.equipment.actions.running import move_end
from coop.equipment.actions.standby import Want, stand_by
from coop.equipment.actions.telling import read
from coop.equipment.models import Booking, Told
from coop.equipment.models import Part as ThingPart
from coop.kitchen.demo.script import Event, KitchenScript, Part, Stage
from coop.kitchen.demo.things import tenths, thing_of

#: When nothing else is said, people book so long before; of what is still to come, yesterday.
BEFORE, STILL_TO_COME = timedelta(days=3), -26


def booking_events(script: KitchenScript, stage: Stage) -> Iterator[Event]:
    """Every act, each with its moment."""
    for part in script.equipment["booking"]:
        yield from _booking_events(part, stage)
    plays = {"standby": _stand_by, "read": _read, "tell_late": _tell_late}
    for name, play in plays.items():
        for part in script.equipment[name]:
            yield stage.moment(part), partial(play, part, stage)


def _booking_events(part: Part, stage: Stage) -> Iterator[Event]:
    start, end = span_of(part, stage)
    booked: list[Booking] = []
    yield _booked_at(part, start, stage), partial(_book, part, booked, stage)
    if "out" in part or "back" in part:
        yield start, partial(_hand_out, booked)
    if "back" in part:
        back = part["back"]
        yield stage.moment(back) if "at" in back else end, partial(_hand_back, back, booked)
    if "deposit" in part:
        yield stage.moment(part["deposit"]), partial(_settle, part["deposit"], booked, stage)
    if "runs_longer" in part:
        yield stage.moment(part["runs_longer"]), partial(_run_longer, part, booked, stage)
    if "cancelled" in part:
        yield stage.moment(part["cancelled"]), partial(_cancel, part, booked)


def span_of(part: Part, stage: Stage) -> tuple[datetime, datetime]:
    """From when until when: two moments of days, or two hours counted from now."""
    if "hours" in part:
        start, end = part["hours"]
        return stage.hour(start), stage.hour(end)
    return stage.at(*part["from"]), stage.at(*part["to"])


def _booked_at(part: Part, start: datetime, stage: Stage) -> datetime:
    if "booked" in part:
        return stage.at(*part["booked"])
    return min(start - BEFORE, stage.hour(STILL_TO_COME))


# ---- Booked ---------------------------------------------------------------------------------
def _book(part: Part, booked: list[Booking], stage: Stage) -> None:
    start, end = span_of(part, stage)
    expected = _expected(part, stage)
    wishes = [Wish(thing_of(name, stage).pk, start, end, expected) for name in part["things"]]
    by = stage.speaker(part["household"])
    said: dict[str, Any] = {"household": by.household, "by": by, "purpose": part["purpose"]}
    if "about_buy" in part:
        said["about"] = f"buy:{Buy.objects.get(coop=stage.coop, title=part['about_buy']).pk}"
    if "weeks" in part:
        booked += book_weekly(wishes, part["weeks"], **said).booked
    else:
        booked += book(wishes, **said)


def _expected(part: Part, stage: Stage) -> datetime | None:
    if "expected" in part:
        return stage.at(*part["expected"])
    return stage.hour(part["expected_hour"]) if "expected_hour" in part else None


def _run_longer(part: Part, booked: list[Booking], stage: Stage) -> None:
    longer = part["runs_longer"]
    expected, latest = stage.hour(longer["expected"]), stage.hour(longer["latest"])
    move_end(booked[0].pk, expected, latest, by=booked[0].by, others_wait=True)


def _cancel(part: Part, booked: list[Booking]) -> None:
    cancel(booked[0].pk, by=booked[0].by, why=part["cancelled"]["why"])


# ---- Out and back ---------------------------------------------------------------------------
def _hand_out(booked: list[Booking]) -> None:
    for booking in booked:
        hand_out(booking.pk, Found(counted=_counted(booking, {})), by=booking.by)


def _hand_back(back: Part, booked: list[Booking]) -> None:
    for booking in booked:
        found = FoundBack(
            condition=back.get("condition", "good"),
            counted=_counted(booking, back.get("missing", {})),
            note=back.get("note", ""),
            bumped=back.get("bumped", False),
            reading_tenths=tenths(back["reading"]) if "reading" in back else None,
            uses=back.get("uses", 0),
        )
        hand_back(booking.pk, found, by=booking.by)


def _counted(booking: Booking, missing: Part) -> dict[str, int]:
    parts = ThingPart.objects.filter(thing=booking.thing_id)
    return {each.name: each.count - missing.get(each.name, 0) for each in parts}


def _settle(deposit: Part, booked: list[Booking], stage: Stage) -> None:
    by = stage.speaker(deposit["by"])
    settle_deposit(booked[0].pk, deposit["kept_cents"], deposit["why"], by=by)


# ---- In line, and told ----------------------------------------------------------------------
def _stand_by(part: Part, stage: Stage) -> None:
    thing = thing_of(part["thing"], stage) if "thing" in part else None
    by = stage.speaker(part["household"])
    want = Want(
        thing.kind if thing else part["kind"],
        part["want_hours"] * 60,
        *span_of(part, stage),
        thing_id=thing.pk if thing else None,
        purpose=part["purpose"],
    )
    stand_by(want, by.household, by=by)


def _read(part: Part, stage: Stage) -> None:
    by = stage.speaker(part["household"])
    for told in Told.objects.filter(household=by.household, read_at=None):
        read(told, by=by)


def _tell_late(_part: Part, stage: Stage) -> None:
    tell_late(stage.coop)
