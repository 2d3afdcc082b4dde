"""What equipment adds to the rules of the books, and to those of leaving (hooks)."""

from __future__ import annotations

from django.db.models import Q

from coop.equipment.models import Booking
from coop.equipment.queries.costs import deposits_waiting, kept_of
from coop.money import hooks
from coop.money.models import Entry
from coop.people import hooks as people_hooks
from coop.people.models import Coop, Household


def register() -> None:
    """Put equipment's parts into the hooks; called once, when the app is ready."""
    hooks.reasons_against_reversal += [given_back_since, kept_since]
    hooks.faults.append(deposits_gone_wrong)
    people_hooks.reasons_to_stay.append(deposits_held)


def given_back_since(entry: Entry) -> list[str]:
    """A deposit that was given back: that is reversed first, else it would be given back twice."""
    backs = Booking.objects.filter(
        deposit_entry=entry,
        deposit_back_entry__isnull=False,
        deposit_back_entry__reversed_by=None,
    ).select_related("deposit_back_entry")
    return [
        f"This deposit was given back since. Reverse first: “{each.deposit_back_entry}”."
        for each in backs
    ]


def kept_since(entry: Entry) -> list[str]:
    """A giving back of which something was kept: that is reversed first, else it is owed twice."""
    if entry.kind != Entry.Kind.DEPOSIT_BACK:
        return []
    return [
        f"Something of this deposit was kept. Reverse first: “{kept}”."
        for booking in Booking.objects.filter(deposit_back_entry=entry)
        for kept in Entry.objects.filter(kept_of(booking), reversed_by=None)
    ]


def deposits_gone_wrong(coop: Coop) -> list[str]:
    """Deposits that were given back and are not held."""
    wrong = Booking.objects.filter(
        Q(deposit_entry=None) | Q(deposit_entry__reversed_by__isnull=False),
        coop=coop,
        deposit_back_entry__isnull=False,
        deposit_back_entry__reversed_by=None,
    )
    return [
        f"Booking {pk}: its deposit was given back and is not held."
        for pk in wrong.order_by("pk").values_list("pk", flat=True)
    ]


def deposits_held(household: Household) -> list[str]:
    """Why a household cannot leave yet: its deposits that wait to be given back."""
    waiting = deposits_waiting(household.coop).filter(household=household)
    return [
        f"The deposit of {household} for {booking.thing} waits to be given back: ask whoever keeps "
        "it."
        for booking in waiting
    ]
