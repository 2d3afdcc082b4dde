"""Taking turns on things: whoever books, moves, hands over or stops one locks it first."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import Http404

from coop.equipment.models import Thing
from coop.people.models import Coop


def lock_things(coop: Coop, thing_ids: Iterable[int]) -> list[Thing]:
    """Lock things of a co-op until the transaction ends, in the order of their keys.

    So two who book the same things cannot wait for each other. On SQLite the immediate transaction
    is the lock. Absent and another co-op's are the same 404.
    """
    wanted = set(thing_ids)
    things = list(
        Thing.objects.select_for_update(of=("self",), no_key=True)
        .select_related("coop", "owner")
        .filter(coop=coop, pk__in=wanted)
        .order_by("pk")
    )
    if len(things) != len(wanted):
        raise Http404
    return things


def lock_thing(coop: Coop, thing_id: int) -> Thing:
    """Lock one thing until the transaction ends."""
    return lock_things(coop, [thing_id])[0]
