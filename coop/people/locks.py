"""Taking turns on a co-op's people."""

from __future__ import annotations

from coop.people.models import Coop


def lock_people(coop_id: int) -> Coop:
    """Lock the row of a co-op until the transaction ends, to change its members or invitations.

    It is the first lock that such an act takes, so no two can wait for each other. Other rows can
    still be added to the co-op meanwhile. On SQLite the immediate transaction is the lock.
    """
    return Coop.objects.select_for_update(no_key=True).get(pk=coop_id)
