"""Taking turns at the books."""

from __future__ import annotations

from coop.people.models import Coop


def lock_books(coop_id: int) -> None:
    """Take a turn at the books of a co-op, until the transaction ends.

    Everything that reads balances in order to write entries stands behind this lock. Whoever locks
    a buy too locks the buy first. On SQLite the immediate transaction is the lock.
    """
    Coop.objects.select_for_update(no_key=True).get(pk=coop_id)
