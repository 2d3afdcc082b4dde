"""Opening accounts. Each is opened with what it belongs to, in the same transaction."""

from __future__ import annotations

from coop.money.models import Account
from coop.people.models import Coop, Household


def open_household_account(household: Household) -> Account:
    account, _ = Account.objects.get_or_create(
        household=household,
        defaults={
            "coop_id": household.coop_id,
            "kind": Account.Kind.HOUSEHOLD,
            "name": household.name,
        },
    )
    return account


def open_till(coop: Coop) -> Account:
    account, _ = Account.objects.get_or_create(
        coop=coop, kind=Account.Kind.TILL, defaults={"name": "The till"}
    )
    return account


def open_farm_account(coop: Coop, name: str) -> Account:
    return Account.objects.create(coop=coop, kind=Account.Kind.FARM, name=name)


def open_buy_account(coop: Coop, name: str) -> Account:
    return Account.objects.create(coop=coop, kind=Account.Kind.BUY, name=name)
