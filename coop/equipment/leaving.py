"""What equipment says before a household leaves (people's hooks)."""

from __future__ import annotations

from django.utils import timezone

from coop.equipment.models import Thing
from coop.equipment.queries.bookings import live, out_now
from coop.equipment.queries.costs import deposits_waiting
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
    coming = live(household.coop).filter(
        household=household, ends_at__gt=timezone.now(), held_until=None
    )
    return [
        *(f"{household} still has {each.thing}: bring it back first." for each in has),
        *(
            f"{household} has booked {each.thing}: cancel that first."
            for each in coming.select_related("thing")
            if each not in has
        ),
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
