"""One act, at whose end the notices of all that it touched are kept, each cause once.

The order of locks is: household, things by key, places in line, books; and last what is told, with
the mails that carry it. So no act waits for one of the others while it holds what is told, and none
says of a booking what the act itself changes in its next line.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from django.db import transaction

from coop.equipment.models import Booking, Thing
from coop.equipment.notices import bookings as of_bookings
from coop.equipment.notices import news as of_news
from coop.equipment.notices import things as of_things
from coop.notices.actions.keeping import keep_many
from coop.people.models import Coop


@dataclass
class Touched:
    """Keys of what an act touched in a co-op. `whole` things: with all that is told of them."""

    bookings: set[int] = field(default_factory=set)
    things: set[int] = field(default_factory=set)
    whole: set[int] = field(default_factory=set)
    told: set[int] = field(default_factory=set)


#: By the key of the co-op; None where no act is going on.
_touched: ContextVar[dict[int, Touched] | None] = ContextVar("touched", default=None)


@contextmanager
def one_act() -> Iterator[dict[int, Touched]]:
    """One act, one transaction; at its end notices agree with what it touched.

    An act inside another is a part of it. After an error nothing is kept.
    """
    with transaction.atomic():
        if (whole_act := _touched.get()) is not None:
            yield whole_act
            return
        by_coop: dict[int, Touched] = {}
        token = _touched.set(by_coop)
        try:
            yield by_coop
        finally:
            _touched.reset(token)
        for coop_id, touched in by_coop.items():
            _keep(Coop.objects.get(pk=coop_id), touched)


def touch_bookings(bookings: Iterable[Booking]) -> None:
    """These bookings are made, or at another time, or in another state."""
    for booking in bookings:
        with _of(booking.coop_id) as touched:
            touched.bookings.add(booking.pk)


def touch_thing(thing: Thing) -> None:
    """Whether a thing is fit, or what is to be looked after on it, is not as it was.

    What is told of its bookings says whether they can be counted on.
    """
    with _of(thing.coop_id) as touched:
        touched.things.add(thing.pk)


def touch_whole_thing(thing: Thing) -> None:
    """What all that is told of a thing says is not as it was: its name, its home, its parts."""
    with _of(thing.coop_id) as touched:
        touched.whole.add(thing.pk)


def touch_told(coop_id: int, told_ids: Collection[int]) -> None:
    """These were told, or need not be read any more."""
    with _of(coop_id) as touched:
        touched.told.update(told_ids)


@contextmanager
def _of(coop_id: int) -> Iterator[Touched]:
    """What the act that runs has touched in a co-op so far; an act of its own where none runs."""
    with one_act() as by_coop:
        yield by_coop.setdefault(coop_id, Touched())


def _keep(coop: Coop, touched: Touched) -> None:
    """Keep all that was touched, at once."""
    touched.things |= touched.whole
    if touched.things:
        touched.bookings |= of_bookings.not_over(touched.things)
    if touched.whole:
        touched.told |= of_news.unread_of_things(touched.whole)
    if touched.bookings:
        touched.told |= of_news.unread_of_bookings(touched.bookings)
    of_news.lock(touched.told)  # somebody may be reading them at this moment
    keep_many(
        coop,
        of_bookings.says_by_cause(touched.bookings)
        | of_things.says_by_cause(touched.things)
        | of_news.says_by_cause(touched.told),
    )
