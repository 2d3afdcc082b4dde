"""What a household's bookings want of it this week, and what it was told and has not read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from coop.equipment.kinds import KINDS
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.queries.bookings import handed, is_out, with_parties
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.people import week
from coop.people.days import today_in
from coop.people.models import Household, Member

#: A booking is told so long before it starts: 48 h, as a kitchen date is (trade notes, section 9).
SOON = timedelta(days=2)
#: Before this hour of the co-op's clocks most are asleep. Judgement, no source.
NIGHT_IS_OVER = 6
What = Told.What
FETCH = "equipment/week/fetch.html"
#: What somebody must act upon; the others are to be known.
TO_ACT_UPON = frozenset({What.OUT_OF_ORDER, What.SHIFTED, What.REFUSED, What.LATE})


@dataclass(frozen=True)
class Mine:
    """A booking of the household that something is due of, and the fitness of its thing.

    `also` are those that were booked with it, for the same time, and want the same.
    """

    booking: Booking
    fitness: Fitness
    is_late: bool = False
    also: list[Mine] = field(default_factory=list)

    @property
    def all(self) -> list[Mine]:
        """It, and those booked with it."""
        return [self, *self.also]

    @property
    def things(self) -> list[Thing]:
        """What was booked."""
        return [each.booking.thing for each in self.all]

    @property
    def homes(self) -> list[str]:
        """Where that is fetched, each place once."""
        return list(dict.fromkeys(thing.home for thing in self.things if thing.home))

    @property
    def ends_at_night(self) -> bool:
        """Whether it is an offer that must be answered before people get up."""
        until = self.booking.held_until
        zone = ZoneInfo(self.booking.coop.time_zone)
        return until is not None and until.astimezone(zone).hour < NIGHT_IS_OVER


def dues_of(member: Member, now: datetime) -> list[week.Due]:
    """What the household was told, and what its bookings want of it. Four queries at most."""
    bookings = _bookings(member.household, now)
    things = [each.thing for each in bookings]
    fitness = fitness_in(things, today_in(member.coop, now))
    dues = [
        due
        for booking in bookings
        for due in _due(booking, Mine(booking, fitness[booking.thing_id]), now)
    ]
    return [*_told(member.household, now), *_in_one_line(dues)]


def _bookings(household: Household, now: datetime) -> Sequence[Booking]:
    """Those that begin soon or are on, with what is offered or was shifted. One query."""
    coming = Q(ends_at__gt=now) & (
        Q(starts_at__lte=now + SOON) | Q(held_until__gt=now) | Q(shifted_at__isnull=False)
    )
    return list(
        with_parties(Booking.objects.filter(household=household, cancelled_at=None))
        .annotate(now_out=is_out())
        .filter(coming | Q(now_out=True))
        .exclude(handed("back"))
        .exclude(held_until__lte=now)
        .order_by("starts_at", "id")
    )


def _due(booking: Booking, mine: Mine, now: datetime) -> Iterator[week.Due]:
    """What one booking wants of its household now: one thing at most."""
    out = booking.now_out  # type: ignore[attr-defined]
    urgent, soon = week.Due.URGENT, booking.starts_at <= now + SOON
    if booking.held_until:
        yield week.Due("equipment/week/offer.html", mine, booking.held_until, urgent)
    elif booking.shifted_at and not booking.shift_answered_at and booking.starts_at > now:
        yield week.Due("equipment/week/shift.html", mine, booking.starts_at, urgent)
    elif out and booking.ends_at <= now:
        late = Mine(booking, mine.fitness, is_late=True)
        yield week.Due("equipment/week/back.html", late, booking.ends_at, urgent)
    elif KINDS[booking.thing.kind].ends_by_itself and (out or booking.starts_at <= now):
        done_at = booking.expected_at or booking.ends_at
        yield week.Due("equipment/week/running.html", mine, done_at)
    elif out:
        yield week.Due("equipment/week/back.html", mine, booking.ends_at)
    elif soon:
        yield week.Due(FETCH, mine, booking.starts_at)


def _in_one_line(dues: Iterable[week.Due]) -> Iterator[week.Due]:
    """What is fetched at one time, because it was booked in one act, is one thing to do."""
    first: dict[tuple[UUID, datetime], Mine] = {}
    for due in dues:
        booking = due.about.booking
        if due.template != FETCH or booking.together is None:
            yield due
            continue
        same = booking.together, booking.starts_at
        if same in first:
            first[same].also.append(due.about)
        else:
            first[same] = due.about
            yield due


def _told(household: Household, now: datetime) -> list[week.Due]:
    """What it has not read yet, the newest first within its place. One query."""
    rows = Told.objects.filter(household=household, read_at=None).select_related("booking", "thing")
    return [
        week.Due(
            "equipment/week/told.html",
            told,
            place=week.Due.URGENT if told.what in TO_ACT_UPON else 0,
        )
        for told in rows
        if not _said_by_its_booking(told, now)
    ]


def _said_by_its_booking(told: Told, now: datetime) -> bool:
    """Whether a line of its own says it, or it is settled: an offer, a later time to answer."""
    booking = told.booking
    if booking is None:
        return False
    if told.what == What.OFFERED:
        return True
    if told.what in {What.IN_ORDER, What.LATE} and booking.ends_at <= now:
        return True
    is_settled = bool(booking.shift_answered_at or booking.cancelled_at)
    return told.what == What.SHIFTED and (is_settled or booking.starts_at > now)
