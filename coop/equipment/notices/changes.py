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
    hooks.member_changed.append(renew_stewarded)


def renew_lent(household: Household) -> None:
    """Letters name the owner of a thing, and their phone."""
    keys = list(Thing.objects.filter(owner=household, retired_at=None).values_list("pk", flat=True))
    if not keys:
        return
    with one_act():
        for thing in lock_things(household.coop, keys):
            touch_whole_thing(thing)


def renew_stewarded(member: Member) -> None:
    """A co-op's own things are told to its stewards, or to coordinators where it has none.

    The things are not locked: people are locked already, and acts lock things before them. So an
    act on one of them in this very moment may be told to those who kept it before; its next act
    puts it right.
    """
    keep_many(member.coop, things.says_by_cause(things.kept_by_nobody(member.coop)))
