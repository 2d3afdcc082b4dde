"""Opening accounts. Each is opened with what it belongs to, in the same transaction."""

from __future__ import annotations

from coop.money.models import Account
from coop.people.models import Coop, Household


def open_household_account(household: Household) -> Account:
    """The account of a household, opened now if it has none."""
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
    """The till of a co-op, opened now if it has none."""
    account, _ = Account.objects.get_or_create(
        coop=coop, kind=Account.Kind.TILL, defaults={"name": "The till"}
    )
    return account


def open_farm_account(coop: Coop, name: str) -> Account:
    """Open the account of a farm."""
    return Account.objects.create(coop=coop, kind=Account.Kind.FARM, name=name)


def open_buy_account(coop: Coop, name: str) -> Account:
    """Open the account of a buy."""
    return Account.objects.create(coop=coop, kind=Account.Kind.BUY, name=name)


def rename_account(account: Account, name: str) -> None:
    """Give an account the new name of what it belongs to. Its co-op and kind stay (a trigger)."""
    if account.name != name:
        account.name = name
        account.save(update_fields=["name"])
