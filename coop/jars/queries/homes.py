"""Where households live, as they have said themselves."""

from __future__ import annotations

from coop.core.distance import Place
from coop.people.models import Coop, Home, Household


def home_of(household: Household) -> Home | None:
    """Where a household lives; None where it has not said."""
    return Home.objects.filter(household=household).first()


def homes_in(coop: Coop) -> dict[int, Place]:
    """Where the households of a co-op live, by their ids; who has not said is not in it."""
    homes = Home.objects.filter(household__coop=coop, household__left_at__isnull=True)
    return {home.household_id: (float(home.latitude), float(home.longitude)) for home in homes}
