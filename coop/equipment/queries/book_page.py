"""What stands beside a booking: on the form before it is made, and on its own page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from coop.equipment import rights
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.costs import BookingCosts, costs_for
from coop.equipment.queries.fitness import Fitness, fitness_in, fitness_of
from coop.equipment.queries.handovers import EARLIEST, kept_waiting
from coop.equipment.queries.mine import (
    History,
    Stands,
    State,
    booked_with,
    history_of,
    standing,
    state_of,
)
from coop.equipment.queries.running import Run, run_of
from coop.equipment.queries.things import things_in
from coop.people.models import Coop, Household, Member

#: States in which the household has yet to get the thing.
NOT_YET_OUT = (State.COMING, State.BEGUN)


@dataclass(frozen=True)
class Ground:
    """What the form of a booking stands on: the things that are lent, and whether each is fit."""

    things: list[Thing]
    fitness: dict[int, Fitness]

    @property
    def stopped(self) -> frozenset[int]:
        """The keys of what is out of order."""
        return frozenset(pk for pk, each in self.fitness.items() if each.is_out_of_order)


@dataclass(frozen=True)
class Chosen:
    """A thing chosen to be booked: whether it is fit, and whether it costs anything."""

    thing: Thing
    fitness: Fitness
    has_price: bool


def ground_of(coop: Coop, now: datetime) -> Ground:
    """The things of a co-op with their fitness. Four queries."""
    things = list(things_in(coop))
    return Ground(things, fitness_in(things, now.astimezone(ZoneInfo(coop.time_zone)).date()))


def chosen_rows(chosen: Sequence[Thing], ground: Ground, household: Household) -> list[Chosen]:
    """What to know of each thing chosen, for a household. No query."""
    return [
        Chosen(
            thing,
            ground.fitness[thing.pk],
            thing.owner_id != household.pk and bool(thing.fee_cents or thing.deposit_cents),
        )
        for thing in chosen
    ]


@dataclass(frozen=True)
class BookingPage:
    """A booking with all around it. `others` are what the same act booked besides; `waits_for`
    has the thing and should have brought it back.
    """

    booking: Booking
    now: datetime
    state: State
    fitness: Fitness
    run: Run | None
    others: list[Stands]
    history: History
    costs: BookingCosts | None
    waits_for: Booking | None
    can_change: bool
    can_hand_over: bool
    is_ours: bool

    @property
    def later(self) -> list[Stands]:
        """What else of the act would be cancelled with this one and the later ones."""
        return [
            each
            for each in self.others
            if each.state in NOT_YET_OUT and each.booking.starts_at >= self.booking.starts_at
        ]

    @property
    def is_coming(self) -> bool:
        """Whether the household has yet to get the thing, offers among them."""
        return self.state in (*NOT_YET_OUT, State.OFFERED)

    @property
    def came_from(self) -> tuple[str, int] | None:
        """What it was booked for, as kind and key: ("buy", 12)."""
        kind, _, key = self.booking.about.partition(":")
        return (kind, int(key)) if key.isdecimal() else None

    @property
    def may_move(self) -> bool:
        """Whether another time can be chosen; while it is out, another end."""
        return self.can_change and self.state in (*NOT_YET_OUT, State.OUT, State.LATE)

    @property
    def may_cancel(self) -> bool:
        """Whether there is something left to cancel."""
        return self.can_change and self.state in NOT_YET_OUT

    @property
    def may_end(self) -> bool:
        """Whether it has begun, and the thing did not go out: it can end at a word."""
        return self.can_change and self.state == State.BEGUN

    @property
    def may_go_out(self) -> bool:
        """Whether the thing can go out with it by now."""
        is_near = self.booking.starts_at - self.now <= EARLIEST
        return self.can_hand_over and is_near and self.state in NOT_YET_OUT

    @property
    def may_come_back(self) -> bool:
        """Whether the thing is out with it."""
        return self.can_hand_over and self.state in (State.OUT, State.LATE)

    @property
    def waits_for_answer(self) -> bool:
        """Whether it was moved later, and its household has not said whether that will do."""
        booking = self.booking
        return bool(
            self.can_change
            and self.state in NOT_YET_OUT
            and booking.shifted_at
            and not booking.shift_answered_at
        )


def booking_page(member: Member, booking: Booking, now: datetime) -> BookingPage:
    """The page of a booking, as `booking_for` reads it. The same number of queries for all."""
    coop, own = booking.coop, member.household
    return BookingPage(
        booking=booking,
        now=now,
        state=state_of(booking, now),
        fitness=fitness_of(booking.thing, now.astimezone(ZoneInfo(coop.time_zone)).date()),
        run=run_of(booking, now),
        others=standing(booked_with(booking), own, now),
        history=history_of(booking),
        costs=costs_for(member, booking, now),
        waits_for=kept_waiting(booking, now),
        can_change=rights.can_change(member, booking),
        can_hand_over=rights.can_hand_over(member, booking),
        is_ours=booking.household_id == own.pk,
    )
