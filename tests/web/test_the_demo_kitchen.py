"""The demo's jars and kitchen: something of each thing, run as it is published."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import timedelta
from importlib.resources import files
from itertools import combinations
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from coop.jars.models import Count, JarMove, Loan
from coop.kitchen.models import Fate, JarWarning, Load, Lot, Outcome, Plan, Taken, Use, Way
from coop.people.models import Coop, Home

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # test_the_demo loads it on both


def out(loan: Loan) -> int:
    """Jars of a loan that are out, counted by hand."""
    signs = {JarMove.What.HANDED_OVER: 1}
    return sum(signs.get(JarMove.What(move.what), -1) * move.count for move in loan.moves.all())


def published(lot: Lot, load: Load) -> tuple[int, int | None]:
    """Minutes and psi of the row of a lot, read from the published file itself."""
    text = files("coop.core.tables").joinpath("process_times.csv").read_text(encoding="utf-8")
    key = {
        "produce": lot.produce, "product": lot.product, "pack": lot.pack, "jar": lot.jar,
        "method": load.method, "option": str(lot.option),
    }  # fmt: skip
    (row,) = (
        row
        for row in csv.DictReader(text.splitlines())
        if key.items() <= row.items()
        and int(row["altitude_low_ft"]) <= load.altitude_ft <= int(row["altitude_high_ft"] or 99999)
    )
    return int(row["minutes"]), int(row["pressure_psi"]) if row["pressure_psi"] else None


def test_households_live_near_each_other_and_have_counted(demo: Coop) -> None:
    homes = Home.objects.filter(household__coop=demo)
    assert homes.count() >= 12
    for degrees in ("latitude", "longitude"):
        found = homes.values_list(degrees, flat=True)
        assert max(found) - min(found) < 0.2  # about ten miles
    ages = [(timezone.now() - count.at).days for count in Count.objects.all()]
    assert min(ages) < 7
    assert max(ages) > 180


def test_loans_are_asked_out_and_overdue(demo: Coop) -> None:
    loans = list(Loan.objects.filter(coop=demo))
    today = timezone.localdate(timezone=ZoneInfo(demo.time_zone))
    waiting = [loan for loan in loans if loan.agreed_at is None]
    owed = [loan for loan in loans if out(loan)]
    assert {loan.started for loan in waiting} == {Loan.Started.ASKED, Loan.Started.OFFERED}
    assert [loan for loan in owed if loan.due_on < today]
    assert [loan for loan in owed if loan.due_on > today]
    assert [loan for loan in loans if loan.agreed_at and not out(loan)]


def test_there_are_two_kitchens_at_different_heights(demo: Coop) -> None:
    assert set(demo.kitchens.values_list("altitude_ft", flat=True)) == {4680, 5340}


def test_shares_are_planned_in_every_way(demo: Coop) -> None:
    assert Plan.objects.filter(coop=demo, share__isnull=False).count() >= 7
    assert set(Use.objects.values_list("way", flat=True)) == set(Way.values)
    corn = Plan.objects.get(produce="sweet_corn", household__name="Abelard")
    assert [use.way for use in corn.uses.all()] == [Way.CAN, Way.FREEZE]
    assert Use.objects.filter(plan__produce="tomato").exclude(acid="").count() >= 3
    assert Outcome.objects.filter(use__plan__farm__isnull=False).count() >= 3


def test_every_load_ran_as_it_is_published(demo: Coop) -> None:
    lots = Lot.objects.filter(coop=demo, way=Way.CAN).select_related("load")
    assert lots.count() >= 10
    for lot in lots:
        assert (lot.load.minutes, lot.load.psi) == published(lot, lot.load), lot


def test_what_was_put_up_agrees_with_its_lots_and_its_plan(demo: Coop) -> None:
    for plan in Plan.objects.filter(coop=demo):
        done = [use.outcome for use in plan.uses.all() if hasattr(use, "outcome")]
        assert sum(each.tenths for each in done) <= plan.tenths, plan
    for use in Use.objects.filter(plan__coop=demo, outcome__isnull=False).exclude(way=Way.DRY):
        came = [
            lot.counted_in if use.way == Way.FREEZE else lot.counted_out for lot in use.lots.all()
        ]
        assert use.outcome.jars == sum(came), use.plan


def test_one_seal_failed_and_one_load_waits_for_its_seals(demo: Coop) -> None:
    fates = Fate.objects.filter(lot__made_on__gt=timezone.now().date() - timedelta(days=30))
    assert [(fate.what, fate.count) for fate in fates] == [(Fate.What.FRIDGE, 1)]
    waiting = Lot.objects.get(way=Way.CAN, seal_check__isnull=True)
    stood = timezone.now() - waiting.load.ended_at
    assert 12 <= stood.total_seconds() / 3600 <= 24  # the hours of the guide: USDA, 2015, guide 1


def test_last_years_jars_are_partly_eaten(demo: Coop) -> None:
    old = Lot.objects.filter(made_on__lt=timezone.now().date() - timedelta(days=300))
    taken = Counter(Taken.objects.filter(lot__in=old).values_list("what", flat=True))
    assert old.count() >= 3
    assert set(taken) == {Taken.What.USED, Taken.What.GIVEN}


def test_a_warning_is_read_by_one_household_and_not_by_the_other(demo: Coop) -> None:
    told = JarWarning.objects.get(coop=demo).told.all()
    assert {each.household.name: each.read_at is not None for each in told} == {
        "Jasso": True,
        "Holloway": False,
    }


def test_two_households_can_share_a_load(demo: Coop) -> None:
    uses = Use.objects.filter(
        plan__coop=demo, product="crushed", outcome__isnull=True, plan__kitchen__isnull=False
    )
    # 22 lb to a load of seven quarts: USDA, "Complete Guide to Home Canning", 2015, guide 3.
    last = [use.tenths * 7 // 220 % 7 for use in uses]
    assert any(one + other <= 7 for one, other in combinations(filter(None, last), 2))
