"""What changes elsewhere in what equipment tells: an owner's phone, who is steward."""

from __future__ import annotations

from coop.equipment.actions.locks import lock_things
from coop.equipment.models import Thing
from coop.equipment.notices import things
from coop.equipment.notices.touched import one_act, touch_whole_thing
from coop.notices.actions.keeping import keep_many
from coop.people import hooks
from coop.people.models import Household, Member


def hook_in() -> None:
    """Hook into what people do; called once, when the app is ready."""
    hooks.household_kept.append(renew_lent)
    hooks.locked_first.append(lock_own)
    hooks.member_changed.append(renew_stewarded)


def renew_lent(household: Household) -> None:
    """Letters name the owner of a thing, and their phone."""
    keys = list(Thing.objects.filter(owner=household, retired_at=None).values_list("pk", flat=True))
    if not keys:
        return
    with one_act():
        for thing in lock_things(household.coop, keys):
            touch_whole_thing(thing)


def lock_own(coop_id: int) -> None:
    """Lock the co-op's own things, in order: who is steward hangs on its people."""
    own = Thing.objects.filter(coop=coop_id, owner=None).order_by("pk")
    list(own.select_for_update(of=("self",), no_key=True).values_list("pk"))


def renew_stewarded(member: Member) -> None:
    """A co-op's own things are told to its stewards, or to coordinators where it has none.

    They are locked already, by `lock_own`.
    """
    keep_many(member.coop, things.says_by_cause(things.kept_by_nobody(member.coop)))
