"""What the apps above money add to its rules.

Money stands under buying and cannot ask it, and yet nobody should square up while a cost of a buy
is charged to nobody. So an app puts its questions into these lists, once, in its
`AppConfig.ready`. Each answers with sentences; none means that all is well.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from coop.money.models import Entry
from coop.people.models import Coop

#: Why squaring up must wait.
reasons_to_wait: list[Callable[[Coop], Iterable[str]]] = []

#: What the nightly check should find wrong.
faults: list[Callable[[Coop], Iterable[str]]] = []

#: Why an entry cannot be reversed now: what was reckoned from it later must go first. Asked with
#: the books locked.
reasons_against_reversal: list[Callable[[Entry], Iterable[str]]] = []
