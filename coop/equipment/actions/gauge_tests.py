"""A dial gauge is held against one that is right, and what follows from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from coop.core.gauges import Judged, Verdict, judge
from coop.core.tables import spelled_out
from coop.equipment.actions.fitness import lift, open_fault, reopen
from coop.equipment.actions.locks import lock_thing
from coop.equipment.errors import Refused, TooLate
from coop.equipment.kinds import Gauge
from coop.equipment.models import Fault, GaugeTest, Thing
from coop.equipment.notices.touched import one_act, touch_thing
from coop.equipment.queries.faults import ONLY_A_TEST_LIFTS
from coop.equipment.queries.gauge_tests import gauge_test_for
from coop.equipment.rights import require_keep
from coop.equipment.words import day_said, off_said, psi_said
from coop.people.changes import record_change
from coop.people.days import today_in
from coop.people.models import Member

#: A day further back than this is a slip of the finger: no test of it could still matter.
OLDEST = timedelta(days=3650)


@dataclass(frozen=True)
class Reading:
    """What a tester found; both pressures in tenths of a psi.

    `since_then`: it was tested after what was said of it that day, such as a bump.
    """

    tested_on: date
    tester: str
    true_tenths: int
    read_tenths: int
    is_new_gauge: bool = False
    since_then: bool = False
    note: str = ""


def add_gauge_test(thing_id: int, reading: Reading, *, by: Member) -> GaugeTest:
    """Who keeps a dial-gauge canner writes a test of it down.

    What the latest test found holds: over the published limit puts the canner out of order; up to
    it lifts what only a test can lift, where it was tested since: on a later day, or on the same
    with a word that it was after. An older test is history alone.
    Raises NotAllowed, TooLate for a thing that is retired, Refused; also where the gauge must be
    replaced by the test before, and no new one was fitted.
    """
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        _check(thing, reading)
        if again := _same(thing, reading):
            return again  # the button was pressed twice
        _check_replaced(thing, reading)
        now = timezone.now()
        test = GaugeTest.objects.create(
            thing=thing,
            at=now,
            tested_on=reading.tested_on,
            tester=reading.tester.strip(),
            true_tenths=reading.true_tenths,
            read_tenths=reading.read_tenths,
            is_new_gauge=reading.is_new_gauge,
            note=reading.note.strip(),
            by=by,
        )
        touch_thing(thing)
        judged = judge(test.true_tenths, test.read_tenths)
        said = found_said(test, judged)
        record_change(thing, said, coop=thing.coop, by=by, after={"gauge_test": test.pk})
        if _is_latest(test):
            _follow(test, judged, by, now, since_then=reading.since_then or reading.is_new_gauge)
        return test


def strike_test(test_id: int, *, by: Member) -> Thing:
    """Who keeps a canner strikes out a test that was written by mistake, such as of a wrong day.

    What it had lifted stands again, and those who have the canner booked are told; what it stopped
    stays stopped until a test finds the gauge fit. Raises NotAllowed.
    """
    with one_act():
        thing = lock_thing(by.coop, gauge_test_for(by, test_id).thing_id)
        require_keep(by, thing)
        test = gauge_test_for(by, test_id)
        judged = judge(test.true_tenths, test.read_tenths)
        record_change(
            thing,
            f"Struck out: {found_said(test, judged)}",
            coop=thing.coop,
            by=by,
            before={"true_tenths": test.true_tenths, "read_tenths": test.read_tenths},
        )
        lifted = Fault.objects.filter(
            thing=thing, what__in=ONLY_A_TEST_LIFTS, mended_at=test.at, mended_by=test.by_id
        )
        test.delete()
        touch_thing(thing)
        reopen(thing, lifted)
        if latest := GaugeTest.objects.filter(thing=thing).first():
            _stop_if_off(latest, judge(latest.true_tenths, latest.read_tenths), by)
        return thing


def found_said(test: GaugeTest, judged: Judged) -> str:
    """What a test found: "Gauge tested Mon 10 Aug 2026 by the county office: it reads right."."""
    new = "New gauge" if test.is_new_gauge else "Gauge"
    found = f"it reads {off_said(judged.off_tenths)}"
    return f"{new} tested {day_said(test.tested_on)} by {test.tester}: {found}."


def _check(thing: Thing, reading: Reading) -> None:
    if thing.retired_at:
        raise TooLate(f"{thing} is no longer shared.")
    if thing.gauge != Gauge.DIAL:
        raise Refused(f"{thing} has no dial gauge, so there is none to test.")
    today = today_in(thing.coop, timezone.now())
    if reading.tested_on > today:
        raise Refused(
            "That day is still to come: write a test down once it is done.", field="tested_on"
        )
    if reading.tested_on < today - OLDEST:
        raise Refused("That is over ten years ago: look at the year again.", field="tested_on")
    if not reading.tester.strip():
        raise Refused("Say who tested it, and where.", field="tester")


def _check_replaced(thing: Thing, reading: Reading) -> None:
    """Refuse to find a gauge fit that must be replaced and was not; still off may be written.

    Source: the published rule says replace, whatever the same gauge reads another time.
    """
    before = thing.gauge_tests.first()
    if before is None or reading.is_new_gauge or reading.tested_on < before.tested_on:
        return
    was = judge(before.true_tenths, before.read_tenths)
    now = judge(reading.true_tenths, reading.read_tenths)
    if was.verdict == Verdict.REPLACE and now.verdict != Verdict.REPLACE:
        raise Refused(
            f"On {day_said(before.tested_on)} it was off by more than {_limit(was)}. Such a gauge "
            f"must be replaced, and the new one tested ({_source(was)}): tick this once a new one "
            "is fitted. Where that test was a slip of the pen, strike it out first.",
            field="is_new_gauge",
        )


def _same(thing: Thing, reading: Reading) -> GaugeTest | None:
    """The newest test, where it says the same."""
    newest = thing.gauge_tests.order_by("-id").first()
    if newest is None:
        return None
    wrote = (newest.tested_on, newest.true_tenths, newest.read_tenths, newest.is_new_gauge)
    says = (reading.tested_on, reading.true_tenths, reading.read_tenths, reading.is_new_gauge)
    return newest if wrote == says and newest.tester == reading.tester.strip() else None


def _is_latest(test: GaugeTest) -> bool:
    return GaugeTest.objects.filter(thing=test.thing_id).first() == test


def _follow(
    test: GaugeTest, judged: Judged, by: Member, now: datetime, *, since_then: bool
) -> None:
    """Stop a canner whose gauge must be replaced; lift what stood until one was found fit."""
    if _stop_if_off(test, judged, by):
        return
    thing = test.thing
    waiting = Fault.objects.filter(thing=thing, mended_at=None, what__in=ONLY_A_TEST_LIFTS)
    found_on = _days_of_must_go(thing)
    last = test.tested_on if since_then else test.tested_on - timedelta(days=1)
    tested_since = [
        fault
        for fault in waiting
        if found_on.get(fault.sentence, today_in(thing.coop, fault.at)) <= last
    ]
    lift(thing, tested_since, found_said(test, judged), by=by, now=now)


def _days_of_must_go(thing: Thing) -> dict[str, date]:
    """The days of the tests over the limit, by the sentence of the fault that each opened.

    A test may be written down days after it was done, and the new gauge's with it.
    """
    judged = [(test, judge(test.true_tenths, test.read_tenths)) for test in thing.gauge_tests.all()]
    return {
        _must_go(test, each): test.tested_on
        for test, each in judged
        if each.verdict == Verdict.REPLACE
    }


def _stop_if_off(test: GaugeTest, judged: Judged, by: Member) -> bool:
    """Stop a canner whose latest test found its gauge off by too much; whether it did."""
    if judged.verdict != Verdict.REPLACE:
        return False
    off = Fault.What.GAUGE_OFF
    if not Fault.objects.filter(thing=test.thing, mended_at=None, what=off).exists():
        open_fault(test.thing, off, Fault.Stops.BOOKINGS, _must_go(test, judged), by=by)
    return True


def _must_go(test: GaugeTest, judged: Judged) -> str:
    return (
        f"The gauge showed {psi_said(test.read_tenths)} at {psi_said(test.true_tenths)}: off by "
        f"more than {_limit(judged)}, so it must be replaced ({_source(judged)})."
    )


def _limit(judged: Judged) -> str:
    return f"{judged.rule.value} {judged.rule.unit}"


def _source(judged: Judged) -> str:
    """The title of the published guide that the limit is from."""
    return spelled_out(judged.rule.source[0]).split(",")[0]
