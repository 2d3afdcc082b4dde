"""What the apps above jars add to what households should have by now.

Jars stands under the kitchen and cannot ask it, and yet jars go into a canner and come off the
shelf. So the kitchen puts its part into this list, once, in its `AppConfig.ready`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from coop.people.models import Coop


@dataclass(frozen=True)
class Flow:
    """Jars of one kind that became full, empty or were used up in a household at a moment.

    `full`, `empty` and `lids` are how many more there are since, of new lids for the kind's mouth;
    below zero where there are fewer.
    """

    household_id: int
    kind: str
    at: datetime
    full: int = 0
    empty: int = 0
    lids: int = 0


#: Everything of a co-op that has ever changed what its households have, in any order; each with a
#: fixed number of queries. What came before a household's newest count is left out by the reader.
flows: list[Callable[[Coop], Iterable[Flow]]] = []
