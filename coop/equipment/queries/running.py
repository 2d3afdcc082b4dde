"""What ends by itself: when it is likely to be done, and who must wait if it takes longer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from coop.core.shifts import Planned, shift_later
from coop.equipment.kinds import KINDS
from coop.equipment.models import Booking, Handover
from coop.equipment.queries.bookings import with_parties
from coop.equipment.queries.free import HORIZON, hours_of

WHOLE = 1000


@dataclass(frozen=True)
class Run:
    """A booking of a thing that ends by itself, as it stands at a moment.

    `expected_part` and `now_part` are thousandths of the window, for its picture.
    """

    booking: Booking
    now: datetime

    @property
    def expected_at(self) -> datetime:
        """The likely end; the latest where none was said."""
        return self.booking.expected_at or self.booking.ends_at

    @property
    def is_on(self) -> bool:
        """Whether it may be running now: out, or within its time, and not back.

        What was never fetched is over with its time; somebody else may have the thing since.
        """
        if self.booking.cancelled_at or self.booking.held_until or self._moved(Handover.What.BACK):
            return False
        within = self.booking.starts_at <= self.now < self.booking.ends_at
        return within or self._moved(Handover.What.OUT)

    @property
    def is_due(self) -> bool:
        """Whether it may be done by now."""
        return self.is_on and self.expected_at <= self.now

    @property
    def expected_part(self) -> int:
        """Where its likely end is."""
        return self._part(self.expected_at)

    @property
    def now_part(self) -> int:
        """Where it is now."""
        return self._part(self.now)

    def _moved(self, what: str) -> bool:
        return any(each.what == what for each in self.booking.handovers.all())

    def _part(self, moment: datetime) -> int:
        whole = self.booking.ends_at - self.booking.starts_at
        return max(0, min(WHOLE, (moment - self.booking.starts_at) * WHOLE // whole))


def run_of(booking: Booking, now: datetime) -> Run | None:
    """The run of a booking; None for a thing that does not end by itself. Reads its handovers."""
    return Run(booking, now) if KINDS[booking.thing.kind].ends_by_itself else None


def must_wait(booking: Booking, ends_at: datetime) -> list[tuple[Booking, Planned]]:
    """Who must start later if a booking ends at a later moment, and when. Two queries."""
    after = {
        each.pk: each
        for each in with_parties(
            Booking.objects.filter(
                thing=booking.thing, cancelled_at=None, starts_at__gte=booking.starts_at
            )
            .exclude(pk=booking.pk)
            .prefetch_related("handovers")
        )
    }
    planned = [
        Planned(each.pk, each.starts_at, each.ends_at, each.free_at - each.ends_at)
        for each in after.values()
    ]
    free_from = ends_at + timedelta(minutes=booking.turnaround_minutes)
    hours = hours_of(booking.thing, (free_from, free_from + HORIZON))
    return [(after[each.key], each) for each in shift_later(planned, free_from, hours)]
