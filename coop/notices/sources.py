"""The causes that each app tells of, so that all can be looked through at once.

An app adds its sources in `AppConfig.ready`. Its acts call the same `renew` in their transaction;
looking through all of them finds what an act forgot, and fills an outbox that is new.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from coop.notices.actions.keeping import Kept
from coop.people.models import Coop


@dataclass(frozen=True)
class Source:
    """One kind of cause.

    `live`: keys of the causes that have, or may have, something to tell. `renew`: locks one,
    and keeps what there is to tell of it (see `keep`).
    """

    name: str
    live: Callable[[Coop], Iterable[int]]
    renew: Callable[[int], Kept]


#: What each app tells of.
sources: list[Source] = []


def put_right(coop: Coop) -> dict[str, Kept]:
    """Renew every live cause of a co-op; what differed, by cause. Empty where nothing did."""
    found: dict[str, Kept] = {}
    for source in sources:
        for pk in source.live(coop):
            if kept := source.renew(pk):
                found[f"{source.name}:{pk}"] = kept
    return found
