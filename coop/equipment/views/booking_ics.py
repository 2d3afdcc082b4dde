"""One booking as a file for a calendar program."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coop.equipment.errors import NotAllowed
from coop.equipment.queries.bookings import booking_for
from coop.notices.calendar.calendars import CONTENT_TYPE, file_of
from coop.notices.queries.feed import alarms_of, event_about
from coop.people.changes import topic
from coop.people.middleware import CoopRequest


@never_cache
@require_safe
def booking_file(request: CoopRequest, booking_id: int) -> HttpResponse:
    """The event that the household's calendars have of a booking, with the member's alarms."""
    booking = booking_for(request.member, booking_id)
    if booking.household_id != request.member.household_id:
        raise NotAllowed(f"This booking stands in the calendars of {booking.household} alone.")
    event = event_about(request.member, topic(booking))
    if event is None:
        raise Http404
    answer = HttpResponse(file_of(event, alarms_of(request.member)), content_type=CONTENT_TYPE)
    answer.headers["Content-Disposition"] = f'attachment; filename="booking-{booking.pk}.ics"'
    return answer
