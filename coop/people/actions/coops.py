"""Starting a co-op, and its settings."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import IntegrityError, transaction

from coop.people import hooks
from coop.people.actions.households import open_household
from coop.people.changes import record_change
from coop.people.errors import NameTaken, Refused
from coop.people.limits import DAY_SECONDS, spend
from coop.people.models import Coop, Member, User
from coop.people.rights import can_change_settings, require
from coop.people.slugs import RESERVED

MOST_A_DAY = 10
#: What a co-op settles, and how its history names it.
SETTINGS = {
    "name": "name",
    "time_zone": "time zone",
    "currency": "currency",
    "altitude_ft": "altitude",
    "division_step_tenths": "steps of division",
    "trip_cents_per_mile": "fuel a mile",
}


@dataclass(frozen=True)
class Settings:
    """What a co-op settles once: see the fields of Coop for units and bounds."""

    name: str
    time_zone: str
    currency: str
    altitude_ft: int
    division_step_tenths: int
    trip_cents_per_mile: int


def start_coop(settings: Settings, *, slug: str, household_name: str, by: User) -> Member:
    """Make a co-op and its first household; whoever starts it is coordinator and treasurer.

    Returns the first member. Raises NameTaken when the address is not to be had,
    and TooMany.
    """
    if slug in RESERVED:
        raise NameTaken("This address is the site's own. Choose another.", field="slug")
    spend(f"start:{by.pk}", at_most=MOST_A_DAY, seconds=DAY_SECONDS)
    with transaction.atomic():
        return _first_member(_new_coop(settings, slug), household_name, by)


def _new_coop(settings: Settings, slug: str) -> Coop:
    values = {name: getattr(settings, name) for name in SETTINGS}
    try:
        with transaction.atomic():
            return Coop.objects.create(slug=slug, **values)
    except IntegrityError as refusal:
        sentence = "A co-op has this address already. Choose another."
        raise NameTaken(sentence, field="slug") from refusal


def _first_member(coop: Coop, household_name: str, user: User) -> Member:
    for started in hooks.coop_started:
        started(coop)
    household = open_household(coop, household_name)
    member = Member.objects.create(
        coop=coop,
        household=household,
        user=user,
        name=user.name,
        coordinator=True,
        treasurer=True,
    )
    record_change(coop, f"{member.name} started the co-op.", coop=coop, by=member)
    return member


def change_settings(settings: Settings, *, by: Member) -> Coop:
    """Save the settings of the co-op of `by`, and write down what was changed.

    Raises NotAllowed, and Refused for another currency once money is counted in the present one.
    """
    require(can_change_settings(by))
    coop, changed = _change_settings(settings, by)
    if "time_zone" in changed:  # after the transaction: nobody waits for all that hangs on it
        for zone_changed in hooks.zone_changed:
            zone_changed(coop)
    return coop


def _change_settings(settings: Settings, by: Member) -> tuple[Coop, list[str]]:
    with transaction.atomic():
        coop = Coop.objects.select_for_update().get(pk=by.coop_id)
        before = {name: getattr(coop, name) for name in SETTINGS}
        after = {name: getattr(settings, name) for name in SETTINGS}
        changed = [name for name in SETTINGS if before[name] != after[name]]
        if "currency" in changed and is_currency_in_use(coop):
            raise Refused(
                f"The books are kept in {coop.currency} already, so the currency stays.",
                field="currency",
            )
        if changed:
            _save_settings(coop, before, after, changed=changed, by=by)
        return coop, changed


def _save_settings(
    coop: Coop,
    before: dict[str, str | int],
    after: dict[str, str | int],
    *,
    changed: list[str],
    by: Member,
) -> None:
    for name in changed:
        setattr(coop, name, after[name])
    coop.save(update_fields=changed)
    words = ", ".join(SETTINGS[name] for name in changed)
    record_change(
        coop,
        f"Settings changed: {words}.",
        coop=coop,
        by=by,
        before={name: before[name] for name in changed},
        after={name: after[name] for name in changed},
    )


def is_currency_in_use(coop: Coop) -> bool:
    """Whether anything of the co-op is counted in its currency yet."""
    return any(in_use(coop) for in_use in hooks.currency_in_use)
