"""What money does when a household joins, and what it says before one leaves (people's hooks)."""

from __future__ import annotations

from django.db.models import Q

from coop.money.actions.accounts import open_household_account, open_till
from coop.money.models import Account, Movement, Payment
from coop.money.notices.rounds import renew_open_round
from coop.money.queries.balances import balance_of
from coop.people import hooks
from coop.people.models import Coop, Household


def register() -> None:
    """Put money's parts into the hooks of people; called once, when the app is ready."""
    hooks.coop_started.append(open_till)
    hooks.household_kept.append(keep_account)
    hooks.reasons_to_stay.append(open_money)
    hooks.currency_in_use.append(has_moved)


def keep_account(household: Household) -> Account:
    """Open the household's account, or have it follow the household's name."""
    account = open_household_account(household)
    if account.name != household.name:
        account.name = household.name
        account.save(update_fields=["name"])
        renew_open_round(household.coop)  # its payments name it
    return account


def open_money(household: Household) -> list[str]:
    """Why the household cannot leave the books yet; nothing when its account is square."""
    account = open_household_account(household)
    reasons = []
    if balance := balance_of(account):
        word = "is owed money" if balance > 0 else "owes money"
        reasons.append(f"{household.name} {word}: square up first.")
    waiting = Payment.objects.filter(
        Q(payer=account) | Q(payee=account),
        confirmed_at__isnull=True,
        square_up__withdrawn_at__isnull=True,
        square_up__finished_at__isnull=True,
    )
    if waiting.exists():
        reasons.append(f"A payment of {household.name} waits to be made or confirmed.")
    return reasons


def has_moved(coop: Coop) -> bool:
    """Whether any money of the co-op has moved."""
    return Movement.objects.filter(entry__coop=coop).exists()
