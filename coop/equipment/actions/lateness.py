"""What is late is told to the household that has it next."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils import timezone

from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.telling import tell
from coop.equipment.models import Booking, Told
from coop.equipment.notices.touched import one_act
from coop.equipment.queries.handovers import is_late, late_now, next_for_it, who_has_it
from coop.equipment.words import moment_said, name_of
from coop.people.models import Coop

#: Nobody is told of a few minutes; and who has it only days later can wait. Judgement, no source.
MINUTES_LATE = timedelta(minutes=15)
NEAR = timedelta(hours=24)


def tell_late(coop: Coop, now: datetime | None = None) -> int:
    """Tell who is next of everything late in a co-op, once each; how many were told.

    Safe at any time, and twice: what was told is looked up with the thing locked.
    """
    now = now or timezone.now()
    late = late_now(coop, now - MINUTES_LATE).values_list("thing_id", flat=True)
    return sum(_tell_next(coop, thing_id, now) for thing_id in sorted(late))


def _tell_next(coop: Coop, thing_id: int, now: datetime) -> bool:
    with one_act():
        thing = lock_thing(coop, thing_id)
        with_whom, following = who_has_it(thing), next_for_it(thing, now)
        if with_whom is None or following is None or not is_late(with_whom, now):
            return False
        if following.starts_at > now + NEAR or following.household_id == with_whom.household_id:
            return False
        if Told.objects.filter(what=Told.What.LATE, booking=following).exists():
            return False
        tell(
            following.household,
            Told.What.LATE,
            thing,
            _sentence(with_whom, following),
            booking=following,
        )
        return True


def _sentence(with_whom: Booking, following: Booking) -> str:
    coop, holder = with_whom.coop, with_whom.household
    phone = f", {holder.phone}" if holder.phone else ""
    return (
        f"{name_of(with_whom.thing)} is not back yet: {holder} was to bring it back "
        f"{moment_said(with_whom.ends_at, coop)}. You have it from "
        f"{moment_said(following.starts_at, coop)}. Ask them{phone}, or move your booking."
    )
