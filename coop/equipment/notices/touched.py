"""One act, at whose end the notices of all that it touched are kept, each cause once.

The order of locks is: household, things by key, places in line, books; and last what is told, with
the mails that carry it. So no act waits for a lock of the others while it holds one of these, and
none renews a booking before it is as the act leaves it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field

from django.db import transaction

from coop.equipment.models import Booking
from coop.equipment.notices import bookings as of_bookings
from coop.equipment.notices import news as of_news
from coop.equipment.notices import things as of_things


@dataclass
class Touched:
    """Keys of what an act touched. `whole` things: with all that is told of them."""

    bookings: set[int] = field(default_factory=set)
    things: set[int] = field(default_factory=set)
    whole: set[int] = field(default_factory=set)
    told: set[int] = field(default_factory=set)


_touched: ContextVar[Touched | None] = ContextVar("touched", default=None)


@contextmanager
def one_act() -> Iterator[None]:
    """One act, one transaction; at its end notices agree with what it touched.

    An act inside another is a part of it. After an error nothing is kept.
    """
    with transaction.atomic():
        if _touched.get() is not None:
            yield
            return
        touched = Touched()
        token = _touched.set(touched)
        try:
            yield
        finally:
            _touched.reset(token)
        _keep(touched)


def touch_bookings(bookings: Iterable[Booking]) -> None:
    """These bookings are made, or at another time, or in another state."""
    _touch(Touched(bookings={each.pk for each in bookings}))


def touch_thing(thing_id: int) -> None:
    """Whether a thing is fit, or what is to be looked after on it, is not as it was."""
    _touch(Touched(things={thing_id}))


def touch_whole_thing(thing_id: int) -> None:
    """What all that is told of a thing says is not as it was: its name, its home, its parts."""
    _touch(Touched(whole={thing_id}))


def touch_told(told_ids: Iterable[int]) -> None:
    """These were told, or need not be read any more."""
    _touch(Touched(told=set(told_ids)))


def _touch(now: Touched) -> None:
    with one_act():  # part of the act that runs, or one of its own
        touched = _touched.get()
        if touched is not None:
            touched.bookings |= now.bookings
            touched.things |= now.things
            touched.whole |= now.whole
            touched.told |= now.told


def _keep(touched: Touched) -> None:
    """Keep each cause, in the order of their keys."""
    if touched.whole:
        touched.things |= touched.whole
        touched.bookings |= of_bookings.not_over(touched.whole)
        touched.told |= of_news.unread_of_things(touched.whole)
    if touched.bookings:
        touched.told |= of_news.unread_of_bookings(touched.bookings)
    of_bookings.keep_all(touched.bookings)
    of_things.keep_all(touched.things)
    of_news.keep_all(touched.told)
