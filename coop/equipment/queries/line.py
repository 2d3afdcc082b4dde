"""Who is in line for things, whose turn it is, and what each could be offered.

The fairest comes first: who had least of the kind this season, then who asked first. A season is
the calendar year by the co-op's clocks, as with asks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import DurationField, Exists, F, OuterRef, Q, QuerySet, Sum

from coop.core.fair_turns import fair_order
from coop.core.proposals import first_fit
from coop.core.spans import joined, without
from coop.equipment.models import Booking, Standby, Thing
from coop.equipment.queries.finding import Hours, parts_of
from coop.equipment.queries.own_time import hands_full, is_attended
from coop.people.models import Coop

Span = tuple[datetime, datetime]
#: Why an offer is over that nobody answered.
RAN_OUT = "The offer ran out."
#: Nobody gets ready for a booking that begins sooner. Judgement, no source.
SHORTEST_NOTICE = timedelta(minutes=15)


@dataclass(frozen=True)
class Line:
    """The places in line for some things of a co-op, and what bears on their turns.

    `had` has minutes by kind and household; `full` the times in which a household minds something
    already; `let_go` what was offered to a place and not taken, by place and thing.
    """

    standbys: list[Standby]
    had: Mapping[str, Mapping[int, int]]
    full: Mapping[int, list[Span]]
    let_go: Mapping[tuple[int, int], list[Span]]

    def without(self, standby: Standby) -> Line:
        """The line after a place of it has been served."""
        rest = [each for each in self.standbys if each.pk != standby.pk]
        return Line(rest, self.had, self.full, self.let_go)


@dataclass(frozen=True)
class Opening:
    """A time of a thing that a place in line could have."""

    standby: Standby
    thing: Thing
    span: Span


def open_offer() -> Exists:
    """A filter of places in line: those that are offered something now."""
    offers = Booking.objects.filter(
        standby=OuterRef("pk"), held_until__isnull=False, cancelled_at=None
    )
    return Exists(offers)


def in_line(now: datetime) -> QuerySet[Standby]:
    """Places in line that have not ended, of households that are still there, first come first.

    A place whose window has no room any more has ended by itself.
    """
    return (
        Standby.objects.filter(ended_at=None, until_at__gt=now, household__left_at=None)
        .select_related("coop", "household", "thing", "by")
        .order_by("at", "id")
    )


def wants(things: Iterable[Thing]) -> Q:
    """A filter of places in line: those that one of the things would do for."""
    listed = list(things)
    any_of_kind = Q(thing=None, kind__in={thing.kind for thing in listed})
    coops = {thing.coop_id for thing in listed}
    return Q(coop__in=coops) & (Q(thing__in=listed) | any_of_kind)


def line_for(things: Sequence[Thing], now: datetime) -> Line:
    """Those who wait for things of one co-op and are offered nothing now.

    One query where nobody waits, else four.
    """
    standbys = list(in_line(now).filter(wants(things)).exclude(open_offer()))
    if not standbys:
        return Line([], {}, {}, {})
    until = max(each.until_at for each in standbys)
    households = {each.household_id for each in standbys}
    return Line(
        standbys,
        minutes_had(standbys[0].coop, {thing.kind for thing in things}, now),
        hands_full(households, (now, until)),
        _let_go(standbys, things),
    )


def season_of(coop: Coop, now: datetime) -> Span:
    """The calendar year by the co-op's clocks."""
    zone = ZoneInfo(coop.time_zone)
    year = now.astimezone(zone).year
    start, end = (datetime(each, 1, 1, tzinfo=zone).astimezone(UTC) for each in (year, year + 1))
    return start, end


def minutes_had(coop: Coop, kinds: Iterable[str], now: datetime) -> dict[str, dict[int, int]]:
    """Minutes with each kind of thing this season, by kind and key of the household. One query.

    What is booked for later this season counts: who has three weekends ahead has had its share of
    them. What is only offered does not, nor does cancelled time.
    """
    first, last = season_of(coop, now)
    rows = (
        Booking.objects.filter(
            coop=coop,
            thing__kind__in=list(kinds),
            cancelled_at=None,
            held_until=None,
            starts_at__gte=first,
            starts_at__lt=last,
        )
        .order_by()
        .values("thing__kind", "household")
        .annotate(had=Sum(F("ends_at") - F("starts_at"), output_field=DurationField()))
    )
    found: dict[str, dict[int, int]] = defaultdict(dict)
    for row in rows:
        found[row["thing__kind"]][row["household"]] = row["had"] // timedelta(minutes=1)
    return found


def _let_go(
    standbys: Iterable[Standby], things: Iterable[Thing]
) -> dict[tuple[int, int], list[Span]]:
    """What each place passed on or let run out, by place and thing: not offered to it again.

    What was taken from it again, because the one before ran longer, may be.
    """
    rows = Booking.objects.filter(
        Q(cancelled_by__isnull=False) | Q(cancel_why=RAN_OUT),
        standby__in=list(standbys),
        thing__in=list(things),
        cancelled_at__isnull=False,
    ).values_list("standby_id", "thing_id", "starts_at", "ends_at")
    found: dict[tuple[int, int], list[Span]] = defaultdict(list)
    for standby, thing, start, end in rows:
        found[standby, thing].append((start, end))
    return found


def would_do(thing: Thing, standby: Standby) -> bool:
    """Whether a place in line would take a thing, and the thing is lent for so long."""
    of_that_sort = thing.kind == standby.kind and standby.gauge in {"", thing.gauge}
    fits = thing.pk == standby.thing_id or (not standby.thing_id and of_that_sort)
    return fits and (not thing.longest_minutes or standby.minutes <= thing.longest_minutes)


def in_order(standbys: Iterable[Standby], had: Mapping[int, int]) -> list[tuple[Standby, int]]:
    """Places in line in the order of their turns, with the minutes that each household had."""
    by_key = {each.pk: each for each in standbys}
    claims = [(each.pk, each.household_id, each.at) for each in by_key.values()]
    return [(by_key[turn.key], turn.minutes_had) for turn in fair_order(claims, had)]


def next_opening(line: Line, thing: Thing, free: Sequence[Span], now: datetime) -> Opening | None:
    """What the fairest in line who has a use for it could have of a thing's free time, or None."""
    suited = [each for each in line.standbys if would_do(thing, each)]
    for standby, _ in in_order(suited, line.had.get(thing.kind, {})):
        span = first_fit(
            _usable(line, standby, thing, free, now=now),
            timedelta(minutes=standby.minutes),
            hours_for(standby),
        )
        if span:
            return Opening(standby, thing, span)
    return None


def hours_for(standby: Standby) -> list[Span] | None:
    """The waking hours of a place's window, in which it is offered something; None for any hour.

    What is longer than a waking day begins in them. Who asked for a time that has no room for its
    length by day wants the night.
    """
    window = standby.from_at, standby.until_at
    waking = parts_of(Hours.WAKING, standby.coop, window)
    return waking if first_fit([window], timedelta(minutes=standby.minutes), waking) else None


def has_room(standby: Standby, full: Iterable[Span], now: datetime) -> bool:
    """Whether a place could be offered something beside times in which its hands are full."""
    first = max(standby.from_at, now + SHORTEST_NOTICE)
    free = without([(first, standby.until_at)] if first < standby.until_at else [], joined(full))
    return first_fit(free, timedelta(minutes=standby.minutes), hours_for(standby)) is not None


def _usable(
    line: Line, standby: Standby, thing: Thing, free: Sequence[Span], *, now: datetime
) -> list[Span]:
    """The part of free time that lies in a place's window and does not clash with its own."""
    first = max(standby.from_at, now + SHORTEST_NOTICE)
    within = ((max(start, first), min(end, standby.until_at)) for start, end in free)
    clashes = list(line.let_go.get((standby.pk, thing.pk), []))
    if is_attended(thing.kind):
        clashes += line.full.get(standby.household_id, [])
    return without(joined(within), joined(clashes))
