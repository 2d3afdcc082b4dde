"""What a thing has to tell whoever keeps it: a gauge test or a care that is due."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from coop.core.figures import counted
from coop.core.tables import caution, spelled_out
from coop.equipment.actions.locks import lock_thing
from coop.equipment.kinds import Gauge
from coop.equipment.models import Fault, Thing
from coop.equipment.notices import kinds
from coop.equipment.notices.standing import causes_of, standing
from coop.equipment.queries.cares import CareState, cares_in
from coop.equipment.queries.faults import ONLY_A_TEST_LIFTS
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.equipment.words import day_said, name_of
from coop.notices.actions.keeping import Kept, keep_many
from coop.notices.says import Role, Say
from coop.people.days import today_in
from coop.people.models import Coop, Household

CAUSE = "thing"
#: When in its day something is due. Judgement, no source.
IN_THE_MORNING = time(9)


@dataclass(frozen=True)
class State:
    """A thing, how fit it is, its cares, and who is told of them."""

    thing: Thing
    fitness: Fitness
    cares: Sequence[CareState]
    to: Household | Role

    def morning_of(self, day: date) -> datetime:
        """The moment of a day at which something is due."""
        return datetime.combine(day, IN_THE_MORNING, ZoneInfo(self.thing.coop.time_zone))

    def path(self, page: str) -> str:
        """The address of a page of the thing."""
        return reverse(f"equipment:{page}", args=[self.thing.coop.slug, self.thing.pk])


def says_of(state: State) -> list[Say]:
    """What there is to tell of a thing: nothing once it is retired."""
    if state.thing.retired_at:
        return []
    cares = (_care(state, care, care.due_on) for care in state.cares if care.due_on)
    return [*_gauge(state), *cares]


def renew(pk: int) -> Kept:
    """Lock a thing, and keep what there is to tell of it."""
    with transaction.atomic():
        found = Thing.objects.select_related("coop").get(pk=pk)
        lock_thing(found.coop, pk)
        return keep_many(found.coop, says_by_cause([pk]))


def says_by_cause(pks: Collection[int]) -> dict[str, list[Say]]:
    """What there is to tell of things of one co-op, by what names each cause. Five queries."""
    return {f"{CAUSE}:{state.thing.pk}": says_of(state) for state in _read(pks)}


def live(coop: Coop) -> list[int]:
    """The things that have something to tell, or that something is told of."""
    has = _looked_after().filter(coop=coop).values_list("pk", flat=True)
    return sorted(causes_of(standing(coop, CAUSE)).union(has))


def kept_by_nobody(coop: Coop) -> set[int]:
    """The co-op's own things that have something to tell: the stewards keep them. One query."""
    own = _looked_after().filter(coop=coop, owner=None)
    return set(own.values_list("pk", flat=True))


def _looked_after() -> QuerySet[Thing]:
    some = Q(gauge=Gauge.DIAL) | Q(cares__every_months__gt=0)
    return Thing.objects.filter(some, retired_at=None).distinct()


def _read(pks: Collection[int]) -> Iterator[State]:
    """Things of one co-op, as they stand."""
    if not pks:
        return
    rows = Thing.objects.filter(pk__in=pks).select_related("coop", "owner").order_by("pk")
    things = list(rows)
    coop = things[0].coop
    today = today_in(coop, timezone.now())
    fitness, stewards = fitness_in(things, today), _stewards(coop)
    cares = cares_in(things, today)
    for thing in things:
        own = [state for state in cares if state.care.thing_id == thing.pk]
        yield State(thing, fitness[thing.pk], own, thing.owner or stewards)


def _stewards(coop: Coop) -> Role:
    """Who keeps the co-op's own things: where it has no steward, its coordinators."""
    has = coop.members.filter(steward=True, left_at=None).exists()
    return Role("steward" if has else "coordinator")


# ---- what is said ---------------------------------------------------------------------------
def _gauge(state: State) -> Iterator[Say]:
    """When a dial gauge is to be tested: now, where only a test lifts what was said of it."""
    fitness, name = state.fitness, name_of(state.thing)
    waiting = [each for each in fitness.faults if each.what in ONLY_A_TEST_LIFTS]
    if fitness.has_dial and waiting:
        yield _test_now(state, waiting[0])
    if fitness.has_dial and fitness.tested and fitness.test_due_on:
        due = day_said(fitness.test_due_on)
        last = day_said(fitness.tested.tested_on)
        yield Say(
            key="gauge",
            kind=kinds.GAUGE_DUE.code,
            to=state.to,
            at=state.morning_of(fitness.test_due_on),
            title=f"{name}: gauge test due {due}",
            to_do=f"Have the dial gauge of {name} tested by {due}, and write down what it read.",
            details=(f"Last tested: {last}, by {fitness.tested.tester}.", _published()),
            where=state.thing.home,
            path=state.path("test_gauge"),
            button="Write the test down",
        )


def _test_now(state: State, fault: Fault) -> Say:
    name = name_of(state.thing)
    return Say(
        key="test-now",
        kind=kinds.GAUGE_NOW.code,
        to=state.to,
        at=fault.at,
        title=f"{name}: the gauge must be tested before use",
        to_do=f"Have the dial gauge of {name} tested before anybody uses it.",
        details=(fault.sentence, _published()),
        where=state.thing.home,
        path=state.path("test_gauge"),
        button="Write the test down",
    )


def _published() -> str:
    """The published rule on dial gauges, with its source."""
    row = caution("dial_gauge_1")
    return f"{row.gist} Source: {spelled_out(row.source[0])}."


def _care(state: State, care: CareState, due_on: date) -> Say:
    name, what, due = name_of(state.thing), care.care.what, day_said(due_on)
    since = day_said(care.since.astimezone(ZoneInfo(state.thing.coop.time_zone)).date())
    last = f"Last done: {since}." if care.was_done else f"On the list since {since}."
    return Say(
        key=f"care-{care.care.pk}",
        kind=kinds.CARE_DUE.code,
        to=state.to,
        at=state.morning_of(due_on),
        title=f"{name}: {what} due {due}",
        to_do=f"Look after the {what} of {name} by {due}, and write it down.",
        details=(f"Due every {_months(care.care.every_months or 0)}. {last}",),
        where=state.thing.home,
        path=state.path("cares"),
        button="Write it down",
    )


def _months(months: int) -> str:
    return "month" if months == 1 else counted(months, "month")
