"""What equipment says before a household leaves (people's hooks)."""

from __future__ import annotations

from django.utils import timezone

from coop.equipment.queries.bookings import live, out_now
from coop.people import hooks
from coop.people.models import Household


def register() -> None:
    """Put equipment's part into the hooks of people; called once, when the app is ready."""
    hooks.reasons_to_stay.append(open_things)


def open_things(household: Household) -> list[str]:
    """Why the household cannot leave yet: what it has, what it has booked, and what of its is out.

    A place in line keeps nobody: offers go to households that are still there.
    """
    out = list(out_now(household.coop))
    has = [each for each in out if each.household_id == household.pk]
    lent = [each for each in out if each.thing.owner_id == household.pk and each not in has]
    coming = live(household.coop).filter(household=household, starts_at__gt=timezone.now())
    return [
        *(f"{household} still has {each.thing}: bring it back first." for each in has),
        *(f"{each.thing} of {household} is with {each.household}." for each in lent),
        *(
            f"{household} has booked {each.thing}: cancel that first."
            for each in coming.select_related("thing")
        ),
    ]
