"""Bookings read: one for a member, those that stand, and what is out."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.http import Http404

from coop.equipment.models import Booking, Handover, Photo
from coop.people.models import Coop, Member


def with_parties(bookings: QuerySet[Booking]) -> QuerySet[Booking]:
    """With the thing, its owner, the household and the co-op at hand."""
    return bookings.select_related("coop", "thing__owner", "thing__coop", "household", "by")


def live(coop: Coop) -> QuerySet[Booking]:
    """The bookings of a co-op that stand, offers to those in line among them; soonest first."""
    return Booking.objects.filter(coop=coop, cancelled_at=None).order_by("starts_at", "id")


def booking_for(member: Member, booking_id: int) -> Booking:
    """A booking to read, with its handovers. Absent and another co-op's are the same 404."""
    booking = (
        with_parties(Booking.objects.filter(coop=member.coop, pk=booking_id))
        .select_related("cancelled_by", "standby")
        .prefetch_related(
            "handovers__by__household",
            "handovers__parts",
            # A page shows photos by their addresses: the bytes stay where they are.
            Prefetch("handovers__photos", Photo.objects.defer("jpeg")),
        )
        .first()
    )
    if booking is None:
        raise Http404
    return booking


def handed(what: str) -> Exists:
    """A filter: that a booking has a handover of a kind."""
    return Exists(Handover.objects.filter(booking=OuterRef("pk"), what=what))


def is_out() -> Q:
    """A filter: bookings whose household has the thing now."""
    return Q(handed(Handover.What.OUT)) & ~Q(handed(Handover.What.BACK))


def out_now(coop: Coop) -> QuerySet[Booking]:
    """What is out, with whom; the longest due first. One query."""
    return with_parties(Booking.objects.filter(is_out(), coop=coop)).order_by("ends_at", "id")
