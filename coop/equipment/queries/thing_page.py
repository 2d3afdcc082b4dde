"""What the page of a thing shows: where it is, when it is free, who has had it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, QuerySet
from django.http import Http404

from coop.equipment.models import Booking, Handover, Photo, Thing
from coop.equipment.queries.bookings import handed
from coop.equipment.queries.coming import coming_on
from coop.equipment.queries.find_page import usual_minutes
from coop.equipment.queries.fitness import Fitness, fitness_of
from coop.equipment.queries.free import Span
from coop.equipment.queries.handovers import GRACE, is_late, next_for_it, who_has_it
from coop.equipment.queries.jars_held import CannerClass, class_of, classes_of
from coop.equipment.queries.proposed import next_free
from coop.people.days import today_in
from coop.people.models import Member

PAST_SHOWN = 8


@dataclass(frozen=True)
class ThingPage:
    """A thing with everything around it; `free` are the next times to book it, `is_to_go`: it is at
    home, fit, and the time of the next booking has come, or comes within minutes.
    """

    thing: Thing
    fitness: Fitness
    with_whom: Booking | None
    is_late: bool
    next_booking: Booking | None
    is_to_go: bool
    free: Sequence[Span]
    canner: CannerClass | None
    coming: Sequence[Booking]
    past: Sequence[Booking]
    photos: Sequence[Photo]

    @property
    def is_canner(self) -> bool:
        """Whether a load of jars goes into it."""
        return bool(classes_of(self.thing.kind))

    @property
    def usual_minutes(self) -> int:
        """How long the free times are."""
        return usual_length(self.thing) // timedelta(minutes=1)


def thing_page(thing: Thing, now: datetime) -> ThingPage:
    """The page of a thing. The same number of queries, however much was booked."""
    fitness = fitness_of(thing, today_in(thing.coop, now))
    has = who_has_it(thing)
    after = max(now, has.free_at) if has else now
    following = next_for_it(thing, now)
    cannot_be_booked = fitness.is_out_of_order or thing.retired_at
    return ThingPage(
        thing=thing,
        fitness=fitness,
        with_whom=has,
        is_late=is_late(has, now),
        next_booking=following,
        is_to_go=bool(
            following and not has and not fitness.faults and following.starts_at - now <= GRACE
        ),
        free=[] if cannot_be_booked else next_free(thing, usual_length(thing), after),
        canner=class_of(thing),
        coming=coming_on(thing, now),
        past=list(past_of(thing)[:PAST_SHOWN]),
        photos=list(photos_of(thing)),
    )


def usual_length(thing: Thing) -> timedelta:
    """How long a booking of a thing is proposed where nobody said: as its kind is usually booked.

    Never longer than it is lent.
    """
    return timedelta(minutes=usual_minutes(thing.kind, [thing]))


def past_of(thing: Thing) -> QuerySet[Booking]:
    """Bookings with which a thing went out and came back, the latest first, with `handed_over`."""
    handovers = Handover.objects.select_related("by").order_by("at", "id")
    return (
        Booking.objects.filter(handed("back"), thing=thing)
        .select_related("household")
        .prefetch_related(Prefetch("handovers", handovers, to_attr="handed_over"))
        .order_by("-starts_at", "-id")
    )


def photos_of(thing: Thing) -> QuerySet[Photo]:
    """The photos of a thing itself, the newest first; without their bytes."""
    return Photo.objects.filter(thing=thing, handover=None).defer("jpeg").select_related("by")


def photo_for(member: Member, photo_id: int) -> Photo:
    """A photo of a thing or a handover. Absent and another co-op's are the same 404."""
    photos = Photo.objects.select_related("thing__coop", "thing__owner")
    photo = photos.filter(pk=photo_id, thing__coop=member.coop).first()
    if photo is None:
        raise Http404
    return photo
