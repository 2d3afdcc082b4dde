"""The demo's things: one in each state, each come to it by the acts that people use."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from django.db.models import Count
from django.utils import timezone

from coop.equipment.kinds import Gauge, ThingKind
from coop.equipment.models import Booking, CareDone, Fault, GaugeTest, Standby, Thing, Told
from coop.equipment.queries.fitness import fitness_in
from coop.equipment.queries.handovers import is_late, next_for_it, who_has_it
from coop.kitchen.models import Load
from coop.money.models import Entry, SquareUp
from coop.people.models import Coop

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # test_the_demo loads it on both


def thing(name: str) -> Thing:
    return Thing.objects.select_related("coop", "owner").get(name=name)


def standing(**wanted: Any) -> list[Booking]:
    return list(Booking.objects.filter(cancelled_at=None, **wanted).select_related("household"))


def test_there_are_things_of_many_kinds_of_households_and_of_the_co_op(demo: Coop) -> None:
    kinds = Counter(demo.things.values_list("kind", flat=True))
    assert set(ThingKind.values) - set(kinds) == {ThingKind.MILL, ThingKind.OTHER}
    canners = demo.things.filter(kind=ThingKind.PRESSURE_CANNER).values_list("gauge", flat=True)
    assert set(canners) == {Gauge.DIAL, Gauge.WEIGHTED}
    for some in ({"owner": None}, {"deposit_cents__gt": 0}, {"hours__isnull": False}):
        assert demo.things.filter(**some).exists()
        assert demo.things.exclude(**some).exists()
    assert set(demo.things.filter(fee_cents__gt=0).values_list("fee_per", flat=True)) == {
        "use",
        "hour",
    }


def test_the_canners_of_its_loads_are_its_things(demo: Coop) -> None:
    loads = Load.objects.filter(coop=demo)
    assert loads.count() >= 14
    assert not loads.filter(thing=None)


def test_who_ran_a_load_this_season_had_the_canner(demo: Coop) -> None:
    for load in Load.objects.filter(coop=demo).select_related("thing"):
        had = standing(thing=load.thing, starts_at__lt=load.ended_at, ends_at__gte=load.ended_at)
        assert [each for each in had if each.handovers.count() == 2], load


def test_one_gauge_is_tested_in_time_and_one_is_not(demo: Coop) -> None:
    things = [thing(name) for name in ("Tall canner", "Castellanos' canner")]
    tested = fitness_in(things, timezone.now().date())
    due = [tested[each.pk].test_due_on for each in things]
    today = timezone.now().date()
    assert None not in due
    assert [day > today for day in due if day] == [True, False]
    assert GaugeTest.objects.filter(thing__coop=demo).count() >= 7


def test_what_was_dropped_was_tested_and_went_out_again(demo: Coop) -> None:
    fault = Fault.objects.get(thing__coop=demo, what=Fault.What.BUMPED)
    assert fault.mended_at is not None
    assert fault.thing.gauge_tests.filter(at=fault.mended_at).exists()
    since = Booking.objects.filter(thing=fault.thing, handovers__at__gt=fault.mended_at)
    assert since.exists()
    back = Booking.objects.get(handovers__faults=fault)
    assert back.deposit_back_entry is not None


def test_one_thing_is_out_and_one_is_late_with_the_next_in_line_told(demo: Coop) -> None:
    now = timezone.now()
    out = who_has_it(thing("Tall canner"))
    assert out is not None
    assert timedelta() < out.ends_at - now < timedelta(hours=3)
    dryer = thing("Nine-tray dryer")
    following = next_for_it(dryer, now)
    assert is_late(who_has_it(dryer), now)
    assert following is not None
    assert Told.objects.filter(what=Told.What.LATE, booking=following, read_at=None).exists()


def test_the_freeze_dryer_runs_and_the_next_has_to_say_whether_later_suits(demo: Coop) -> None:
    now = timezone.now()
    running = who_has_it(thing("Iverson's freeze dryer"))
    assert running is not None
    assert running.expected_at is not None
    assert now < running.expected_at < running.ends_at
    (after,) = standing(thing=running.thing, starts_at__gt=now)
    assert after.shifted_at is not None
    assert after.shift_answered_at is None


def test_what_is_out_of_order_was_told_to_who_has_it_coming(demo: Coop) -> None:
    stopped = Fault.objects.filter(thing__coop=demo, mended_at=None)
    assert set(stopped.values_list("stops", flat=True)) == set(Fault.Stops.values)
    told = Told.objects.get(what=Told.What.OUT_OF_ORDER, read_at=None)
    assert told.booking is not None
    assert told.booking.starts_at > timezone.now()
    assert told.thing.faults.filter(mended_at=None, stops=Fault.Stops.BOOKINGS).exists()


def test_somebody_is_in_line_and_somebody_is_offered_a_time(demo: Coop) -> None:
    (offer,) = standing(coop=demo, held_until__isnull=False)
    assert offer.held_until is not None
    assert offer.held_until > timezone.now() + timedelta(hours=6)
    waiting = Standby.objects.filter(coop=demo, ended_at=None).exclude(pk=offer.standby_id)
    assert set(waiting.values_list("thing__name", flat=True)) == {None, "Tall canner"}
    assert waiting.filter(kind=ThingKind.FREEZE_DRYER).count() >= 2


def test_several_things_are_booked_together_and_one_weekly(demo: Coop) -> None:
    groups = (
        Booking.objects.filter(coop=demo, starts_at__gt=timezone.now(), together__isnull=False)
        .order_by()
        .values("together")
        .annotate(things=Count("thing", distinct=True), starts=Count("starts_at", distinct=True))
        .values_list("things", "starts")
    )
    assert set(groups) == {(3, 1), (1, 6)}


def test_care_was_done_by_some_and_is_due_on_some(demo: Coop) -> None:
    assert CareDone.objects.filter(care__thing__coop=demo).count() >= 5
    assert thing("Low canner").cares.filter(done=None).exists()


def test_payments_asked_for_yesterday_still_settle_what_is_owed(demo: Coop) -> None:
    """No fee or deposit since: else everybody would be told to wait for new ones."""
    asked = SquareUp.objects.filter(coop=demo).latest("pk")
    assert asked.payments.exists()
    kinds = (Entry.Kind.FEE, Entry.Kind.DEPOSIT, Entry.Kind.DEPOSIT_BACK)
    assert not Entry.objects.filter(coop=demo, kind__in=kinds, made_at__gt=asked.made_at).exists()
