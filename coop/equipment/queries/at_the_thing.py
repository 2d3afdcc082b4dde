"""What a member who stands before a thing can do with it now."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from coop.equipment import rights
from coop.equipment.kinds import CYCLE_LATEST_HOURS, KINDS
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.bookings import with_parties
from coop.equipment.queries.fitness import Fitness, fitness_of
from coop.equipment.queries.free import HORIZON, free_in, turnaround_of
from coop.equipment.queries.handovers import (
    EARLIEST,
    GRACE,
    is_late,
    next_for_it,
    to_come,
    who_has_it,
)
from coop.people.models import Member

#: Less than this is no time to take anything. Judgement, no source.
SHORTEST = timedelta(minutes=15)
#: What a walk-up is proposed for. Judgement, no source.
USUAL = timedelta(hours=3)


class Now(StrEnum):
    """How a thing stands to a member."""

    YOURS_OUT = "yours_out"  # one's household has it: bring it back
    OUT = "out"  # another household has it
    RETIRED = "retired"
    NOT_FIT = "not_fit"  # at home, with something to see to first
    YOURS = "yours"  # booked for one's household: take it out
    THEIRS = "theirs"  # booked for another household, and one may hand it out
    FREE = "free"  # at home and free: take it
    WAIT = "wait"  # at home, and not to be had now


@dataclass(frozen=True)
class AtTheThing:
    """A thing at a moment, and what a member can do with it then.

    `with_whom`: the booking it is out with. `mine`: the next booking of the member's household;
    `following`: the next of all. `free_until`: how long it could be had from now, None where not
    now; `next_start`: when it is free then.
    """

    member: Member
    thing: Thing
    at: datetime
    fitness: Fitness
    with_whom: Booking | None
    mine: Booking | None
    following: Booking | None
    free_until: datetime | None
    next_start: datetime | None = None

    @property
    def now(self) -> Now:
        """How it stands to the member."""
        if self.with_whom is not None:
            is_ours = self.with_whom.household_id == self.member.household_id
            return Now.YOURS_OUT if is_ours else Now.OUT
        if self.thing.retired_at:
            return Now.RETIRED
        if self.fitness.faults:
            return Now.NOT_FIT
        if self.mine is not None and self._can_go(self.mine):
            return Now.YOURS
        if self.following is not None and self.following.starts_at - self.at <= GRACE:
            return Now.THEIRS if self.keeps else Now.WAIT
        return Now.FREE if self.free_until else Now.WAIT

    @property
    def is_late(self) -> bool:
        """Whether it should be back by now."""
        return is_late(self.with_whom, self.at)

    @property
    def keeps(self) -> bool:
        """Whether the member looks after it."""
        return rights.can_keep(self.member, self.thing)

    @property
    def can_write_back(self) -> bool:
        """Whether the member may write down that it is back."""
        return self.with_whom is not None and rights.can_take_back(
            self.member, self.with_whom, self.following
        )

    def _can_go(self, mine: Booking) -> bool:
        """Whether it could go out with a booking: about its time, or early while it is free."""
        if mine.starts_at - self.at <= GRACE:
            return True
        if self.free_until is None or mine.starts_at - self.at > EARLIEST:
            return False
        return self.free_until + turnaround_of(self.thing) >= mine.starts_at


def at_the_thing(member: Member, thing: Thing, at: datetime) -> AtTheThing:
    """How a thing stands to a member at a moment. At most eight queries."""
    with_whom, following = who_has_it(thing), next_for_it(thing, at)
    free_until = None if with_whom else _free_until(thing, at)
    return AtTheThing(
        member=member,
        thing=thing,
        at=at,
        fitness=fitness_of(thing, at.astimezone(ZoneInfo(thing.coop.time_zone)).date()),
        with_whom=with_whom,
        mine=_mine(member, thing, at, following),
        following=following,
        free_until=free_until,
        next_start=None if free_until else _next_start(thing, at),
    )


def proposed_end(thing: Thing, now: datetime, free_until: datetime) -> datetime:
    """Until when a walk-up is proposed to have a thing: a usual time, if it is free so long."""
    length = USUAL
    if KINDS[thing.kind].ends_by_itself:
        length = timedelta(hours=CYCLE_LATEST_HOURS)
    if thing.longest_minutes:
        length = min(length, timedelta(minutes=thing.longest_minutes))
    return min(now + length, free_until).replace(second=0, microsecond=0)


def _mine(member: Member, thing: Thing, now: datetime, following: Booking | None) -> Booking | None:
    if following is None or following.household_id == member.household_id:
        return following
    rows = thing.bookings.filter(to_come(), household=member.household_id, ends_at__gt=now)
    return with_parties(rows).order_by("starts_at", "pk").first()


def _free_until(thing: Thing, now: datetime) -> datetime | None:
    spans = free_in([thing], (now, now + HORIZON))[thing.pk]
    if not spans or spans[0][0] > now or spans[0][1] - now < SHORTEST:
        return None
    return spans[0][1]


def _next_start(thing: Thing, now: datetime) -> datetime | None:
    spans = free_in([thing], (now, now + HORIZON))[thing.pk]
    return next((start for start, end in spans if end - start >= SHORTEST), None)
