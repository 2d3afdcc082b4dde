"""Taking a thing that stands there free: booked from now, and handed out, in one act."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from coop.equipment.actions import ready
from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.handovers import Found, hand_out
from coop.equipment.actions.locks import lock_thing
from coop.equipment.errors import AlreadyWritten
from coop.equipment.models import Handover
from coop.equipment.notices.touched import one_act
from coop.equipment.queries.handovers import who_has_it
from coop.equipment.queries.things import thing_for
from coop.people.models import Household, Member


def take_now(
    thing_id: int,
    ends_at: datetime,
    found: Found,
    *,
    household: Household,
    by: Member,
    purpose: str = "",
    once: UUID | None = None,
    now: datetime | None = None,
) -> Handover:
    """Book a thing from now, and hand it out at once: both or none.

    Raises what `book` and `hand_out` raise, and AlreadyWritten where the household has it already:
    the button was pressed twice.
    """
    now = now or timezone.now()
    thing = thing_for(by, thing_id)
    with one_act():
        # The household first, as whoever books: two who take turns cannot wait for each other.
        Household.objects.select_for_update(no_key=True).get(pk=household.pk)
        lock_thing(by.coop, thing.pk)
        with_whom = who_has_it(thing)
        if with_whom is not None and with_whom.household_id == household.pk:
            raise AlreadyWritten(f"{household} has {thing} already: it is written down.")
        ready.require_home(thing)
        ready.require_fit_to_go(thing)
        [booking] = book(
            [Wish(thing.pk, now, ends_at)], household=household, by=by, purpose=purpose, now=now
        )
        return hand_out(booking.pk, found, by=by, once=once, now=now)
