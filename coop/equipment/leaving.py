"""What equipment says before a household leaves (people's hooks)."""

from __future__ import annotations

from django.utils import timezone

from coop.equipment.models import Booking, Thing
from coop.equipment.queries.bookings import live, out_now
from coop.equipment.queries.costs import deposits_waiting
from coop.equipment.words import moment_said
from coop.people import hooks
from coop.people.models import Household


def register() -> None:
    """Put equipment's part into the hooks of people; called once, when the app is ready."""
    hooks.reasons_to_stay.append(open_things)


def open_things(household: Household) -> list[str]:
    """Why the household cannot leave yet: what it has, what it has booked, and what it lends.

    A place in line keeps nobody: offers go to households that are still there. What is offered is
    let go with the place.
    """
    out = list(out_now(household.coop))
    has = [each for each in out if each.household_id == household.pk]
    lends = Thing.objects.filter(owner=household, retired_at=None)
    coming = (
        live(household.coop)
        .filter(household=household, ends_at__gt=timezone.now(), held_until=None)
        .select_related("thing")
    )
    return [
        *(f"{household} still has {each.thing}: bring it back first." for each in has),
        *_booked_said(household, [each for each in coming if each not in has]),
        *(
            f"{household} lends {each}: take it off the list, or say whose it is now."
            for each in lends
        ),
        *(
            f"A deposit of {each.household} for {each.thing} is not given back yet."
            for each in deposits_waiting(household.coop)
            if household.pk in {each.household_id, each.thing.owner_id}
        ),
    ]


def _booked_said(household: Household, bookings: list[Booking]) -> list[str]:
    """What the household has booked, a sentence for each thing, with the first day."""
    by_thing: dict[str, list[Booking]] = {}
    for each in bookings:
        by_thing.setdefault(str(each.thing), []).append(each)
    return [
        f"{household} has booked {thing}, {moment_said(booked[0].starts_at, household.coop)}"
        f"{f' and {len(booked) - 1} more times' if len(booked) > 1 else ''}: cancel that first."
        for thing, booked in by_thing.items()
    ]
