"""The pickup: when and where to come for what, and that something still waits there."""

from __future__ import annotations

from collections.abc import Iterator

from coop.buying.models import Buy
from coop.buying.notices import kinds
from coop.buying.notices.known import FETCHING, Known, Parcel
from coop.buying.queries.shares import released_from
from coop.core import moments
from coop.core.figures import money
from coop.notices.says import Say
from coop.people.models import Household

COMING = (Buy.Stage.CALLED_IN, *FETCHING)


def said(known: Known) -> Iterator[Say]:
    """To who asks or has a share or a claim; and once it is over, to who has not come."""
    if known.buy.stage not in COMING:
        return
    for home in known.homes.values():
        awaited, parcels = _awaited(known, home), _parcels(known, home)
        if awaited or _is_to_come(known, parcels):
            yield _pickup(known, home, awaited, parcels)
        if waiting := [each for each in parcels if each.is_share and each.is_waiting]:
            yield _unfetched(known, home, waiting)


def _awaited(known: Known, home: Household) -> dict[int, int]:
    """What it asked for of lines that are not divided yet."""
    answer = known.asking.get(home.pk)
    if answer is None:
        return {}
    if known.buy.stage == Buy.Stage.CALLED_IN:
        return answer.amounts
    return {line: steps for line, steps in answer.amounts.items() if line not in known.divisions}


def _parcels(known: Known, home: Household) -> list[Parcel]:
    if known.buy.stage == Buy.Stage.CALLED_IN:
        return []
    return [each for each in known.parcels.get(home.pk, ()) if each.amount]


def _is_to_come(known: Known, parcels: list[Parcel]) -> bool:
    """Whether there was anything to fetch when the pickup began.

    What is fetched during it changes nothing: the pickup took place, and stays in the calendar.
    """
    start = known.buy.pickup_from
    return any(each.fetched_at is None or each.fetched_at >= start for each in parcels)


def _pickup(known: Known, home: Household, awaited: dict[int, int], parcels: list[Parcel]) -> Say:
    buy = known.buy
    got = known.amounts((each.line_id, each.amount) for each in parcels)
    return Say(
        key=f"pickup/{home.pk}",
        kind=kinds.PICKUP.code,
        to=home,
        at=buy.pickup_from,
        ends_at=buy.pickup_to,
        until=buy.pickup_to,
        where=buy.pickup_place,
        title=f"{buy.title}: pickup {known.pickup}",
        to_do=f"Fetch {got or 'your share'} {known.pickup}: {buy.pickup_place}.",
        details=tuple(_details(known, awaited)),
        path=known.path(),
        button="See the buy",
    )


def _details(known: Known, awaited: dict[int, int]) -> Iterator[str]:
    if awaited:
        yield f"You asked for {known.amounts(awaited)}."
        yield "What you get of it is known once it is weighed and divided."
    yield f"A share that nobody fetches by {_released(known)} goes to the spare table."


def _released(known: Known) -> str:
    return moments.by(released_from(known.buy), known.zone)


def _unfetched(known: Known, home: Household, waiting: list[Parcel]) -> Say:
    buy = known.buy
    amounts = known.amounts((each.line_id, each.amount) for each in waiting)
    fee = buy.no_show_cents
    costs = f" Not coming costs {money(fee, buy.coop.currency)}." if fee else ""
    return Say(
        key=f"unfetched/{home.pk}",
        kind=kinds.UNFETCHED.code,
        to=home,
        at=buy.pickup_to,
        until=released_from(buy),
        where=buy.pickup_place,
        title=f"{buy.title}: your share waits until {_released(known)}",
        to_do=f"Come now for {amounts}, or send somebody: {buy.pickup_place}.",
        details=(
            f"After {_released(known)} it goes to the spare table. What nobody claims stays yours "
            f"to pay.{costs}",
        ),
        path=known.path(),
        button="See the buy",
    )
