"""What the apps above people add to what people do.

People stands under money and buying and cannot call them, and yet no household may be without its
account, and none may leave with its share unfetched. So each app puts its part into these lists,
once, in its `AppConfig.ready`; the actions of people run them inside their own transaction. An
error in one undoes the whole act.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from coop.people.models import Coop, Household, Member

#: A co-op was started: money opens its till.
coop_started: list[Callable[[Coop], object]] = []

#: A household joined or changed its name: money opens its account, or renames it.
household_kept: list[Callable[[Household], object]] = []

#: Sentences on why a household cannot leave yet. None: it can.
reasons_to_stay: list[Callable[[Household], Iterable[str]]] = []

#: Whether anything is counted in the co-op's currency yet; then it cannot be another.
currency_in_use: list[Callable[[Coop], bool]] = []

#: A member joined, left, or has other roles: what they are told changes. Called once that is saved.
member_changed: list[Callable[[Member], object]] = []

#: What is locked before the row of the co-op by acts that end with `member_changed` or
#: `came_or_left`: others lock it before that row too. Called with the key of the co-op.
locked_first: list[Callable[[int], object]] = []

#: Somebody joined or left, and the household perhaps with them: whom things concern changes.
came_or_left: list[Callable[[Coop], object]] = []

#: The co-op's clocks are those of another zone: what is due at a time of day moves. Called after
#: the transaction of the change, since nearly everything hangs on it.
zone_changed: list[Callable[[Coop], object]] = []


def tell_member_changed(member: Member) -> None:
    """Run what hangs on a member, inside the transaction of the change."""
    for changed in member_changed:
        changed(member)


def lock_first(coop_id: int) -> None:
    """Lock what stands before the row of a co-op, inside a transaction."""
    for lock in locked_first:
        lock(coop_id)


def tell_came_or_left(coop: Coop) -> None:
    """Run what hangs on who belongs to a co-op, inside the transaction of the change."""
    for told in came_or_left:
        told(coop)
