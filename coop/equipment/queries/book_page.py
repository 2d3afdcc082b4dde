"""What stands beside a booking: on the form before it is made, and on its own page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from coop.equipment import rights
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.costs import BookingCosts, Costs, costs_before, costs_for, fee_of
from coop.equipment.queries.fitness import Fitness, fitness_in, fitness_of
from coop.equipment.queries.free import Span, free_in
from coop.equipment.queries.handovers import EARLIEST, GRACE, is_late, who_has_it
from coop.equipment.queries.mine import (
    NOT_YET_OUT,
    History,
    Stands,
    State,
    booked_with,
    history_of,
    standing,
    state_of,
)
from coop.equipment.queries.proposed import next_free_together
from coop.equipment.queries.running import Run, run_of
from coop.equipment.queries.things import things_in
from coop.people.models import Coop, Household, Member

#: States in which it has the thing.
STATES_OUT = (State.OUT, State.LATE)
#: Of times to move to so many are shown before the form. Judgement, no source.
MOST_PROPOSED = 3


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
    """A thing chosen to be booked: whether it is fit, and what it costs.

    `costs` are those for the time chosen, None without one; `has_price`: it costs something.
    """

    thing: Thing
    fitness: Fitness
    has_price: bool
    costs: Costs | None


@dataclass(frozen=True)
class Bill:
    """What all that is chosen costs for a time, each thing by itself and in all, in cents."""

    span: Span
    rows: list[Costs]

    @property
    def fee_cents(self) -> int:
        """All fees."""
        return sum(each.fee_cents for each in self.rows)

    @property
    def deposit_cents(self) -> int:
        """All deposits."""
        return sum(each.deposit_cents for each in self.rows)


def ground_of(coop: Coop, now: datetime) -> Ground:
    """The things of a co-op with their fitness. Four queries."""
    things = list(things_in(coop))
    return Ground(things, fitness_in(things, now.astimezone(ZoneInfo(coop.time_zone)).date()))


def chosen_rows(
    chosen: Sequence[Thing], ground: Ground, household: Household, span: Span | None
) -> list[Chosen]:
    """What to know of each thing chosen, for a household and a time. No query."""
    return [
        Chosen(
            thing,
            ground.fitness[thing.pk],
            thing.owner_id != household.pk and bool(thing.fee_cents or thing.deposit_cents),
            costs_before(thing, household, *span) if span else None,
        )
        for thing in chosen
    ]


def bill_of(chosen: Sequence[Chosen], span: Span | None) -> Bill | None:
    """What the things chosen cost for a time; None where they cost nothing, or none is chosen."""
    rows = [each.costs for each in chosen if each.costs and each.costs.is_any]
    return Bill(span, rows) if span and rows else None


def free_for(ground: Ground, span: Span) -> frozenset[int]:
    """The keys of the things that could be had for all of a time. One query."""
    free, length = free_in(ground.things, span), span[1] - span[0]
    return frozenset(
        thing.pk
        for thing in ground.things
        if free[thing.pk] == [span] and not _is_lent_shorter(thing, length)
    )


def _is_lent_shorter(thing: Thing, length: timedelta) -> bool:
    most = thing.longest_minutes
    return most is not None and length > timedelta(minutes=most)


@dataclass(frozen=True)
class BookingPage:
    """A booking with all around it. `others` are what the same act booked besides; `with_other` is
    the booking with which another household has the thing now; `expected` is what it will cost.
    """

    booking: Booking
    now: datetime
    state: State
    fitness: Fitness
    run: Run | None
    others: list[Stands]
    history: History
    costs: BookingCosts | None
    expected: Costs | None
    with_other: Booking | None
    can_change: bool
    can_hand_over: bool
    is_ours: bool

    @property
    def waits_for(self) -> Booking | None:
        """With whom the thing is that should have been back by now."""
        return self.with_other if is_late(self.with_other, self.now) else None

    @property
    def same_time(self) -> list[Booking]:
        """What else of the act is booked for the same time, and can move along."""
        own = self.booking.starts_at, self.booking.ends_at
        return [
            each.booking
            for each in self.others
            if each.state in NOT_YET_OUT and (each.booking.starts_at, each.booking.ends_at) == own
        ]

    @property
    def staying(self) -> int:
        """How many others of the act keep their time whatever moves."""
        standing = [each for each in self.others if each.state in (*NOT_YET_OUT, *STATES_OUT)]
        return len(standing) - len(self.same_time)

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
        return self.can_change and self.state in (*NOT_YET_OUT, *STATES_OUT)

    @property
    def may_cancel(self) -> bool:
        """Whether there is something left to cancel."""
        return self.can_change and self.state in NOT_YET_OUT

    @property
    def may_end(self) -> bool:
        """Whether it has begun, and the thing did not go out: it can end at a word."""
        return self.can_change and self.state == State.BEGUN

    @property
    def is_near(self) -> bool:
        """Whether it begins so soon that the thing may go out with it, or has begun."""
        return self.booking.starts_at - self.now <= EARLIEST

    @property
    def may_go_out(self) -> bool:
        """Whether the thing can go out with it by now: not while another household has it."""
        is_to_go = self.can_hand_over and self.state in NOT_YET_OUT
        return is_to_go and self.is_near and self.with_other is None

    @property
    def is_about_to_go(self) -> bool:
        """Whether that is the next thing to do: its time has come, or comes within minutes."""
        return self.may_go_out and self.booking.starts_at - self.now <= GRACE

    @property
    def may_come_back(self) -> bool:
        """Whether the thing is out with it."""
        return self.can_hand_over and self.state in STATES_OUT

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
    state = state_of(booking, now)
    has_it = who_has_it(booking.thing)
    return BookingPage(
        booking=booking,
        now=now,
        state=state,
        fitness=fitness_of(booking.thing, now.astimezone(ZoneInfo(coop.time_zone)).date()),
        run=run_of(booking, now),
        others=standing(booked_with(booking), own, now),
        history=history_of(booking),
        costs=costs_for(member, booking, now),
        expected=_expected(booking, state, now) if rights.can_see_costs(member, booking) else None,
        with_other=has_it if has_it and has_it.household_id != booking.household_id else None,
        can_change=rights.can_change(member, booking),
        can_hand_over=rights.can_hand_over(member, booking),
        is_ours=booking.household_id == own.pk,
    )


def next_times(page: BookingPage, now: datetime) -> list[Span]:
    """The next times to which a booking could move, with what was booked for the same time.

    None while the thing is out: its end alone can move.
    """
    booking = page.booking
    if page.state not in NOT_YET_OUT:
        return []
    moved = [booking, *page.same_time]
    spans = next_free_together(
        [each.thing for each in moved],
        booking.ends_at - booking.starts_at,
        now,
        most=MOST_PROPOSED + 1,
        besides=[each.pk for each in moved],
    )
    return [span for span in spans if span[0] != booking.starts_at][:MOST_PROPOSED]


def _expected(booking: Booking, state: State, now: datetime) -> Costs | None:
    """What a booking will cost that is not over; while the thing is out the fee alone."""
    thing, household, start = booking.thing, booking.household, booking.starts_at
    if state in STATES_OUT:
        return Costs(thing, fee_of(thing, household, start, max(booking.ends_at, now)))
    if state in (*NOT_YET_OUT, State.OFFERED):
        return costs_before(thing, household, start, booking.ends_at)
    return None
