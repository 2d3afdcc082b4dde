"""Where a household lives, as its members give it, and taken off again."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from coop.jars.errors import Refused, TooLate
from coop.jars.rights import require_act_for
from coop.people.changes import record_change
from coop.people.models import Home, Household, Member

STEP = Decimal("0.00001")  # about a yard
MOST_NORTH, MOST_EAST = 90, 180


def set_home(household: Household, place: tuple[Decimal, Decimal], *, by: Member) -> Home:
    """Keep where a household lives: degrees north and degrees east, rounded to five decimals.

    The log of changes says that it changed, and not to what. Raises NotAllowed, Refused, TooLate.
    """
    with transaction.atomic():
        _lock(household, by)
        latitude, longitude = _degrees(place)
        home = Home.objects.filter(household=household).first()
        if home and (home.latitude, home.longitude) == (latitude, longitude):
            return home
        home, _ = Home.objects.update_or_create(
            household=household, defaults={"latitude": latitude, "longitude": longitude}
        )
        _record(household, "Said where the household lives.", by)
        return home


def forget_home(household: Household, *, by: Member) -> None:
    """Take off where a household lives; where it never said, nothing happens. Raises NotAllowed."""
    with transaction.atomic():
        _lock(household, by)
        gone, _ = Home.objects.filter(household=household).delete()
        if gone:
            _record(household, "Took off where the household lives.", by)


def _degrees(place: tuple[Decimal, Decimal]) -> tuple[Decimal, Decimal]:
    bounds = zip(("latitude", "longitude"), place, (MOST_NORTH, MOST_EAST), strict=True)
    for name, degrees, most in bounds:
        if not (degrees.is_finite() and -most <= degrees <= most):
            raise Refused(f"Write degrees from -{most} to {most}.", field=name)
    north, east = (degrees.quantize(STEP) for degrees in place)
    return north, east


def _lock(household: Household, by: Member) -> None:
    require_act_for(by, household)
    kept = Household.objects.select_for_update(no_key=True).get(pk=household.pk, coop=by.coop)
    if kept.left_at:
        raise TooLate(f"{kept.name} has left the co-op.")


def _record(household: Household, sentence: str, by: Member) -> None:
    record_change(household, sentence, coop=by.coop, by=by)
