"""Keeping the list of kitchens: the co-op's, and each household's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.kitchen.models import Kitchen
from coop.kitchen.queries.kitchens import kitchen_for
from coop.kitchen.rights import require_keep_kitchen
from coop.people.changes import record_change
from coop.people.errors import NameTaken
from coop.people.models import Household, Member


@dataclass(frozen=True)
class KitchenTerms:
    """What is known of a kitchen; its altitude in feet decides minutes and pressure."""

    name: str
    altitude_ft: int
    address: str = ""
    note: str = ""


def add_kitchen(terms: KitchenTerms, *, by: Member, household: Household | None = None) -> Kitchen:
    """Put a kitchen on the list: the co-op's, or a household's own.

    Raises NameTaken where the co-op, or the household, has one of that name.
    """
    require_keep_kitchen(by, household.pk if household else None)

    def make() -> Kitchen:
        kitchen = Kitchen.objects.create(coop=by.coop, household=household, **asdict(terms))
        words = f"Put on the list, for {household.name} alone" if household else "Put on the list"
        record_change(kitchen, words, coop=by.coop, by=by, after=asdict(terms))
        return kitchen

    return _with_its_own_name(make)


def change_kitchen(kitchen_id: int, terms: KitchenTerms, *, by: Member) -> Kitchen:
    """Change what is known of a kitchen; plans made for it follow its new altitude at once."""

    def change() -> Kitchen:
        kitchen = kitchen_for(by, kitchen_id)
        require_keep_kitchen(by, kitchen.household_id)
        before = {name: getattr(kitchen, name) for name in asdict(terms)}
        for name, value in asdict(terms).items():
            setattr(kitchen, name, value)
        kitchen.save(update_fields=list(before))
        record_change(kitchen, "Changed", coop=by.coop, by=by, before=before, after=asdict(terms))
        return kitchen

    return _with_its_own_name(change)


def retire_kitchen(kitchen_id: int, *, by: Member) -> Kitchen:
    """Take a kitchen off the list; plans and loads that name it keep it."""
    with transaction.atomic():
        kitchen = kitchen_for(by, kitchen_id)
        require_keep_kitchen(by, kitchen.household_id)
        if kitchen.retired_at is None:
            kitchen.retired_at = timezone.now()
            kitchen.save(update_fields=["retired_at"])
            record_change(kitchen, "Taken off the list", coop=by.coop, by=by)
        return kitchen


def _with_its_own_name(act: Callable[[], Kitchen]) -> Kitchen:
    try:
        with transaction.atomic():
            return act()
    except IntegrityError as refusal:
        if "kitchen_name_once_in_a" in str(refusal):
            raise NameTaken("A kitchen of that name is on the list.", field="name") from refusal
        raise
