"""What buying says before a household leaves (people's hooks)."""

from __future__ import annotations

from coop.buying.models import Ask, Buy, Share, SpareClaim
from coop.people import hooks
from coop.people.models import Coop, Household

RUNNING = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED)
UNFINISHED = (*RUNNING, Buy.Stage.DIVIDED)


def register() -> None:
    """Put buying's parts into the hooks of people; called once, when the app is ready."""
    hooks.reasons_to_stay.append(open_produce)
    hooks.currency_in_use.append(has_prices)


def open_produce(household: Household) -> list[str]:
    """Why the household cannot leave the buys yet; nothing when it waits for no produce."""
    reasons = [
        f"It has an ask in {title}: give it up, or find a taker." for title in _asks(household)
    ]
    reasons += [f"It has not fetched what it gets of {title}." for title in _unfetched(household)]
    fronted = Buy.objects.filter(fronted_by=household, stage__in=UNFINISHED)
    reasons += [f"It fronts the money for {buy.title}." for buy in fronted]
    return reasons


def _asks(household: Household) -> list[str]:
    asks = Ask.objects.filter(household=household, wanted__gt=0, line__buy__stage__in=RUNNING)
    return sorted(set(asks.values_list("line__buy__title", flat=True)))


def _unfetched(household: Household) -> list[str]:
    shares = Share.objects.filter(
        household=household,
        amount__gt=0,
        fetched_at__isnull=True,
        released_at__isnull=True,
        division__withdrawn_at__isnull=True,
        division__line__buy__stage=Buy.Stage.DIVIDED,
    ).values_list("division__line__buy__title", flat=True)
    claims = SpareClaim.objects.filter(
        household=household,
        fetched_at__isnull=True,
        spare__division__line__buy__stage=Buy.Stage.DIVIDED,
    ).values_list("spare__division__line__buy__title", flat=True)
    return sorted({*shares, *claims})


def has_prices(coop: Coop) -> bool:
    """Whether any farm's price, or any charge, is written in the co-op's currency."""
    return coop.farms.filter(offers__isnull=False).exists()
