"""Taking turns on a co-op's people."""

from __future__ import annotations

from coop.people.models import Coop, Household


def lock_people(coop_id: int) -> Coop:
    """Lock the row of a co-op until the transaction ends, to change its members or invitations.

    Where such an act locks a household as well, it locks the household first, here and everywhere,
    so that no two can wait for each other. Other rows can still be added to the co-op meanwhile.
    On SQLite the immediate transaction is the lock.
    """
    return Coop.objects.select_for_update(no_key=True).get(pk=coop_id)


def lock_household(coop_id: int, household_id: int) -> Household:
    """Lock the row of a household until the transaction ends, with its co-op at hand.

    Whoever books or lends in its name locks it too, so that nothing begins while it leaves. Rows
    that belong to it can still be added meanwhile. On SQLite the immediate transaction is the lock.
    """
    return (
        Household.objects.select_for_update(of=("self",), no_key=True)
        .select_related("coop")
        .get(pk=household_id, coop=coop_id)
    )
