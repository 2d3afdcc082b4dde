"""Jars leave the shelf: used, given to another household, thrown out. A slip can be undone."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from coop.kitchen import rights
from coop.kitchen.models import Lot, Taken
from coop.kitchen.notices import loads as notices
from coop.kitchen.queries.dangers import dangers_of
from coop.kitchen.queries.lots import code_of_lot, jars_said, lock_lot, product_said
from coop.people.changes import record_change
from coop.people.errors import Refused, TooLate
from coop.people.models import Household, Member


class NotOnTheShelf(Refused):
    """More jars than stand there."""


class NotGood(Refused):
    """Jars that somebody was warned of cannot be given away."""


def take(
    lot: Lot, what: str, count: int, *, given_to: Household | None = None, by: Member
) -> Taken:
    """Take jars of a lot from the shelf of its household.

    Raises NotAllowed, NotOnTheShelf, NotGood, and Refused where it cannot be given to `given_to`.
    """
    rights.require_act_for(by, lot.household)
    with transaction.atomic():
        there = vars(lock_lot(by, lot.pk))["on_shelf"]  # two who take do so in turn
        if not 0 < count <= there:
            raise NotOnTheShelf(_too_many(lot, there), field="count")
        if what == Taken.What.GIVEN:
            _check_gift(lot, given_to, by=by)
        taken = Taken.objects.create(
            lot=lot,
            what=what,
            count=count,
            given_to=given_to if what == Taken.What.GIVEN else None,
            by=by,
        )
        _record(taken, "", by=by)
    return taken


def untake(taken: Taken, *, by: Member) -> None:
    """It was a slip: the jars stand on the shelf again. Raises NotAllowed and TooLate."""
    rights.require_act_for(by, taken.lot.household)
    with transaction.atomic():
        undone = Taken.objects.filter(pk=taken.pk, undone_at__isnull=True)
        if not undone.update(undone_at=timezone.now()):
            raise TooLate("That is undone already: the jars stand on the shelf.")
        _record(taken, "Undone: ", by=by)
        if taken.given_to_id:
            notices.renew_around(by.coop, [taken.lot_id])


def _check_gift(lot: Lot, given_to: Household | None, *, by: Member) -> None:
    if given_to is None:
        raise Refused("Say which household gets them, so that they can be found again.", **_TO)
    if given_to.coop_id != by.coop_id or given_to.left_at is not None:
        raise Refused("That household is not in this co-op.", **_TO)
    if given_to.pk == lot.household_id:
        raise Refused(f"They are {lot.household}'s own. Choose another household.", **_TO)
    if dangers_of(by.coop, [lot]).get(lot.pk):
        raise NotGood("There is a warning about these jars. Do not give them away.", field="what")


_TO = {"field": "given_to"}


def _too_many(lot: Lot, there: int) -> str:
    if there <= 0:
        return f"Nothing of lot {code_of_lot(lot)} stands on the shelf now."
    return f"{jars_said(lot, there)} of this lot stand there: take 1 to {there}."


def _record(taken: Taken, before: str, *, by: Member) -> None:
    """What touches another household, or was done on its behalf, is written into the history."""
    lot, to = taken.lot, taken.given_to
    if to is None and by.household_id == lot.household_id:
        return
    said = f"given to {to}" if to else taken.get_what_display()
    sentence = (
        f"{before}{jars_said(lot, taken.count)} of {product_said(lot)}, lot {code_of_lot(lot)} "
        f"of {lot.household}, {said}"
    )
    record_change(lot, sentence, coop=by.coop, by=by)
