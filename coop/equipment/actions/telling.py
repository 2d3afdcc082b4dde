"""Telling a household something about its bookings.

Whatever else tells it, letters say, begins here, in the transaction of the cause.
"""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from coop.equipment.models import Booking, Thing, Told
from coop.people.models import Household, Member
from coop.people.rights import require

LONGEST_SENTENCE = Told._meta.get_field("sentence").max_length or 0


def tell(
    household: Household,
    what: Told.What,
    thing: Thing,
    sentence: str,
    *,
    booking: Booking | None = None,
) -> Told:
    """Tell a household one sentence: it stands on This week until somebody of it has read it."""
    return Told.objects.create(
        coop_id=thing.coop_id,
        household=household,
        what=what,
        thing=thing,
        booking=booking,
        sentence=sentence[:LONGEST_SENTENCE],
    )


def read(told: Told, *, by: Member) -> None:
    """Somebody of the household has read it, for all of it. Twice does no harm.

    Raises NotAllowed for another household's.
    """
    require(told.household_id == by.household_id, "That was told to another household.")
    with transaction.atomic():
        Told.objects.filter(pk=told.pk, read_at=None).update(read_at=timezone.now(), read_by=by)
