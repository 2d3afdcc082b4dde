"""Looking, each minute, for offers that ran out and for openings that nobody told of."""

from __future__ import annotations

from datetime import datetime

from coop.equipment.actions.openings import offer_openings, openings_on
from coop.equipment.models import Booking, Thing
from coop.equipment.notices.touched import one_act
from coop.equipment.queries.line import in_line, line_for, open_offer
from coop.equipment.queries.things import things_in
from coop.people.models import Coop


def things_with_old_offers(now: datetime) -> list[int]:
    """The keys of things with an offer that ran out, in order. Nothing is locked."""
    ran_out = Booking.objects.filter(cancelled_at=None, held_until__lte=now)
    return sorted(set(ran_out.values_list("thing_id", flat=True)))


def coops_that_wait(now: datetime) -> list[Coop]:
    """The co-ops in which somebody is in line and is offered nothing."""
    waiting = in_line(now).exclude(open_offer()).order_by().values("coop")
    return list(Coop.objects.filter(pk__in=waiting).order_by("pk"))


def things_with_openings(coop: Coop, now: datetime) -> list[int]:
    """The keys of a co-op's things with something to offer, in order. Nothing is locked."""
    things = list(things_in(coop))
    openings = openings_on(things, line_for(things, now), now)
    return sorted(opening.thing.pk for opening in openings)


def offer_if_at_hand(thing_id: int, now: datetime) -> bool:
    """Do it for one thing, unless somebody is changing it now: the next minute comes soon.

    In a transaction of its own, so that one thing waits for no other.
    """
    with one_act():
        thing = (
            Thing.objects.select_for_update(of=("self",), no_key=True, skip_locked=True)
            .select_related("coop", "owner")
            .filter(pk=thing_id)
            .first()
        )
        if thing is None:
            return False
        offer_openings(thing, now)
        return True
