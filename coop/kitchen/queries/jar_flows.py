"""What canning and eating do to the jars of households: full, empty, and new lids used up.

A lot takes its jars and as many new lids at the end of its load, and the jars that were counted out
of it are full ones; of those that broke there is nothing more. Jars that are used or thrown out are
empty again; those given away are full in the other household, and do not come back. Jars that did
not seal are empty once they are in the fridge, the freezer or the bin: that is a little early. A
jar processed again takes a new lid. Freezer containers and packets are no jars.
"""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import F

from coop.jars import hooks
from coop.jars.hooks import Flow
from coop.jars.kinds import Size, kind_of
from coop.kitchen.models import Fate, Lot, Taken, Way
from coop.people.models import Coop

#: A jar size of the tables that is no size of jar here is not counted.
IN_JARS = {"way": Way.CAN, "jar__in": Size.values}
OF_LOTS = {f"lot__{name}": value for name, value in IN_JARS.items()}


def register() -> None:
    """Put the kitchen's part into what jars reckon with; called once, when the app is ready."""
    hooks.flows.append(flows_in)


def flows_in(coop: Coop) -> Iterator[Flow]:
    """Everything that the kitchens of a co-op ever did to its jars. Three queries."""
    yield from _put_up(coop)
    yield from _unsealed(coop)
    yield from _taken(coop)


def _put_up(coop: Coop) -> Iterator[Flow]:
    lots = Lot.objects.filter(coop=coop, **IN_JARS).order_by()
    rows = lots.values_list(
        "household_id", "jar", "mouth", "load__ended_at", "counted_in", "counted_out"
    )
    for household, jar, mouth, at, went_in, came_out in rows:
        full = came_out or 0
        yield Flow(household, kind_of(jar, mouth), at, full, empty=-went_in, lids=-went_in)


def _unsealed(coop: Coop) -> Iterator[Flow]:
    """Jars that did not seal; the jars of a lot that they went into anew are counted with that."""
    fates = Fate.objects.filter(lot__coop=coop, **OF_LOTS).order_by()
    rows = fates.annotate(again_at=F("new_lot__load__ended_at")).values_list(
        "lot__household_id", "lot__jar", "lot__mouth", "what", "count", "at", "again_at"
    )
    for household, jar, mouth, what, count, at, again_at in rows:
        if what != Fate.What.REPROCESSED:
            yield Flow(household, kind_of(jar, mouth), at, -count, empty=count)
        elif again_at:
            yield Flow(household, kind_of(jar, mouth), again_at, -count, empty=count)


def _taken(coop: Coop) -> Iterator[Flow]:
    taken = Taken.objects.filter(lot__coop=coop, undone_at=None, **OF_LOTS).order_by()
    rows = taken.values_list(
        "lot__household_id", "lot__jar", "lot__mouth", "given_to_id", "count", "at"
    )
    for household, jar, mouth, given_to, count, at in rows:
        kind = kind_of(jar, mouth)
        yield Flow(household, kind, at, -count, empty=0 if given_to else count)
        if given_to:
            yield Flow(given_to, kind, at, count)
