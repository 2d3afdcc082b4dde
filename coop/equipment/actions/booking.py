"""Booking things: one or several, all or none; once, or weekly for a season."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.core.figures import counted, join_words
from coop.core.opening import same_time_weekly
from coop.equipment import rights
from coop.equipment.actions import openings, rules
from coop.equipment.actions.locks import lock_things
from coop.equipment.actions.telling import tell
from coop.equipment.errors import Refused, Taken, TooLate
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.queries.free import turnaround_of
from coop.equipment.queries.mine import MISSED
from coop.equipment.queries.proposed import next_free_together
from coop.equipment.words import booked_said, moment_said
from coop.people.changes import record_change
from coop.people.models import Household, Member

#: The weeks of the longest year.
MOST_WEEKS = 53


@dataclass(frozen=True)
class Wish:
    """One thing for a time. `expected_at`: when a thing that ends by itself is likely to be done;
    without it, as its kind usually is.
    """

    thing_id: int
    starts_at: datetime
    ends_at: datetime
    expected_at: datetime | None = None

    @property
    def span(self) -> tuple[datetime, datetime]:
        """From when until when, in UTC, where hours between moments are real hours."""
        return self.starts_at.astimezone(UTC), self.ends_at.astimezone(UTC)


@dataclass(frozen=True)
class Missed:
    """A week in which a repeated booking could not be had, and why."""

    starts_at: datetime
    why: str


@dataclass
class Weekly:
    """What came of a booking repeated weekly: what was booked, and the weeks that failed."""

    booked: list[Booking] = field(default_factory=list)
    failed: list[Missed] = field(default_factory=list)


@dataclass(frozen=True)
class _Act:
    """Who books, for whom, what for, and when; `together` is common to all that it books."""

    household: Household
    by: Member
    purpose: str
    about: str
    now: datetime
    together: UUID | None = None


def book(
    wishes: Sequence[Wish],
    *,
    household: Household,
    by: Member,
    purpose: str = "",
    about: str = "",
    now: datetime | None = None,
) -> list[Booking]:
    """Book one thing or several, all or none. Sent twice, it books once.

    `about` is what it comes from: "buy:12". Returns the bookings in the order of the wishes.

    Raises NotAllowed, Refused, TooLate (it has passed, or the household has left), NotFit, TooLong,
    OutsideHours, Taken with the next times in which all of them are free; Http404 for another
    co-op's thing.
    """
    together = uuid4() if len(wishes) > 1 else None
    act = _Act(household, by, purpose, about, now or timezone.now(), together)
    with one_act():
        things = _lock(act, wishes)
        if already := _already(act, wishes):
            return already
        booked = _book_together(act, things, wishes)
        touch_bookings(booked)
        _tell(act, booked)
        return booked


def book_weekly(
    wishes: Sequence[Wish],
    weeks: int,
    *,
    household: Household,
    by: Member,
    purpose: str = "",
    about: str = "",
    now: datetime | None = None,
) -> Weekly:
    """Book the same once a week, `weeks` times in all (2 to MOST_WEEKS).

    Each week is all or none by itself; what cannot be had in a week is named, and the others are
    booked. Starts keep their time on the co-op's clocks, and bookings their length.

    Raises NotAllowed, Refused, TooLate where the household has left; Http404; where no week could
    be had, what stood against the first one.
    """
    if not 1 < weeks <= MOST_WEEKS:
        raise Refused(f"Repeat it for 2 to {MOST_WEEKS} weeks.", field="last_on")
    act = _Act(household, by, purpose, about, now or timezone.now(), uuid4())
    for wish in wishes:
        rules.require_sense(wish.span, act.now)
    weekly, refusals = Weekly(), []
    with one_act():
        things, is_new = _lock(act, wishes), False
        for week in _weeks(wishes, weeks, act.household):
            try:
                with transaction.atomic():
                    already = _already(act, week)
                    weekly.booked += already or _book_together(act, things, week)
                    is_new = is_new or not already
            except Refused as refusal:
                refusals.append(refusal)
                weekly.failed.append(Missed(week[0].starts_at, refusal.sentence))
        if not weekly.booked:
            raise refusals[0]
        if is_new:  # else the button was pressed twice
            _write_missed(act, weekly)
            touch_bookings(weekly.booked)
            _tell(act, weekly.booked)
    return weekly


def _write_missed(act: _Act, weekly: Weekly) -> None:
    """The weeks that failed stand in the history of the first one that was booked."""
    first, coop = weekly.booked[0], act.by.coop
    for missed in weekly.failed:
        sentence = f"Not booked for {moment_said(missed.starts_at, coop)}. {missed.why}"
        record_change(
            first, sentence, coop=coop, by=act.by, after={MISSED: missed.starts_at.isoformat()}
        )


def _weeks(wishes: Sequence[Wish], weeks: int, household: Household) -> Iterable[list[Wish]]:
    """The wishes of each week, at the same time on the co-op's clocks."""
    zone = ZoneInfo(household.coop.time_zone)
    starts = [same_time_weekly(wish.starts_at, zone, weeks) for wish in wishes]
    for week in range(weeks):
        yield [
            _from(wish, own_starts[week]) for wish, own_starts in zip(wishes, starts, strict=True)
        ]


def _from(wish: Wish, start: datetime) -> Wish:
    """The same wish from another start."""
    later = start - wish.span[0]
    return replace(
        wish,
        starts_at=start,
        ends_at=wish.span[1] + later,
        expected_at=wish.expected_at and wish.expected_at.astimezone(UTC) + later,
    )


def _lock(act: _Act, wishes: Sequence[Wish]) -> dict[int, Thing]:
    """Lock the household and the things: nobody leaves, and nobody else books, meanwhile."""
    rights.require_act_for(act.by, act.household)
    if not wishes:
        raise Refused("Choose what to book.", field="thing")
    locked = Household.objects.select_for_update(no_key=True).get(pk=act.household.pk)
    if locked.left_at:
        raise TooLate(f"{locked} has left the co-op.")
    things = lock_things(act.by.coop, [wish.thing_id for wish in wishes])
    for thing in things:
        openings.lapse_offers(thing, act.now)
    return {thing.pk: thing for thing in things}


def _already(act: _Act, wishes: Sequence[Wish]) -> list[Booking]:
    """The same bookings where the household has them all: the button was pressed twice."""
    standing = Booking.objects.filter(
        household=act.household,
        thing__in=[wish.thing_id for wish in wishes],
        starts_at__in=[wish.starts_at for wish in wishes],
        cancelled_at=None,
        held_until=None,
    ).select_related("thing", "coop", "household")
    found = {(each.thing_id, each.starts_at, each.ends_at): each for each in standing}
    keys = [(wish.thing_id, *wish.span) for wish in wishes]
    return [found[key] for key in keys] if all(key in found for key in keys) else []


def _book_together(act: _Act, things: Mapping[int, Thing], wishes: Sequence[Wish]) -> list[Booking]:
    try:
        return [_book_one(act, things[wish.thing_id], wish) for wish in wishes]
    except Taken as refusal:
        spans = {wish.span for wish in wishes}
        if len(things) > 1 and len(spans) == 1:
            [(start, end)] = spans
            refusal.free = next_free_together(list(things.values()), end - start, start)
        raise


def _book_one(act: _Act, thing: Thing, wish: Wish) -> Booking:
    turnaround = turnaround_of(thing)
    rules.require_bookable(thing, wish.span, act.now)
    rules.require_free(thing, wish.span, turnaround)
    booking = Booking(
        coop=thing.coop,
        thing=thing,
        household=act.household,
        starts_at=wish.span[0],
        ends_at=wish.span[1],
        expected_at=rules.expected_end(thing, wish.span, wish.expected_at),
        turnaround_minutes=thing.turnaround_minutes,
        free_at=wish.span[1] + turnaround,
        purpose=act.purpose,
        about=act.about,
        together=act.together,
        at=act.now,
        by=act.by,
    )
    _insert(booking)
    record_change(
        booking,
        f"Booked for {booked_said(booking, thing.coop)}.",
        coop=thing.coop,
        by=act.by,
        after={"starts_at": wish.span[0].isoformat(), "ends_at": wish.span[1].isoformat()},
    )
    return booking


def _insert(booking: Booking) -> None:
    span = booking.starts_at, booking.ends_at
    try:
        with transaction.atomic():
            booking.save(force_insert=True)
    except IntegrityError as refusal:
        named = rules.refused_by_database(refusal, booking.thing, span, to=booking.free_at)
        if named is None:
            raise
        raise named from refusal


def _tell(act: _Act, booked: Sequence[Booking]) -> None:
    """Tell the household what somebody else has booked for it, in one sentence."""
    if not booked or act.by.household_id == act.household.pk:
        return
    first, last = booked[0], booked[-1]
    names = join_words(dict.fromkeys(str(each.thing) for each in booked))
    if first.starts_at == last.starts_at:
        when = booked_said(first, first.coop)
    else:
        when = f"{counted(len(booked), 'booking')}, the first {booked_said(first, first.coop)}"
    sentence = f"{act.by} booked {names} for you: {when}."
    tell(act.household, Told.What.CHANGED, first.thing, sentence, booking=first)
