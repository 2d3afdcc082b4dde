"""What became of a buy: called in, called off, its pickup moved, divided."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from coop.buying.models import Buy
from coop.buying.notices import kinds
from coop.buying.notices.known import DIVIDED, Answer, Known
from coop.notices.says import Say
from coop.people.models import Household

A_DAY = timedelta(days=1)
IF_YOU_CANNOT_COME = {
    Buy.Stage.ASKING: "If you cannot come then, give up your ask before the close, or find a taker "
    "for it after the close.",
    Buy.Stage.CALLED_IN: "If you cannot come then, find a taker for what you asked for.",
}
FROM_NOW_ON = "If you cannot come then, have somebody fetch it for you."


def said(known: Known) -> Iterator[Say]:
    """The news of the stage at which the buy is, and that its pickup was moved.

    What a buy comes back to, as when a division is withdrawn, is not told a second time.
    """
    stage = known.buy.stage
    if stage == Buy.Stage.CALLED_OFF:
        yield from _called_off(known)
        return
    if stage == Buy.Stage.CALLED_IN:
        yield from _called_in(known)
    if stage in DIVIDED:
        yield from _divided(known)
    if known.moved_at:
        yield from _moved(known, known.moved_at)


def _news(known: Known, key: str, home: Household, at: datetime, **fields: Any) -> Say:
    """News until the pickup is over, or for a day where they come late."""
    return Say(
        key=f"{key}/{home.pk}",
        kind=kinds.NEWS.code,
        to=home,
        at=at,
        until=max(known.buy.pickup_to, at + A_DAY),
        **{"path": known.path(), "button": "See the buy"} | fields,
    )


def _asked_before(known: Known, at: datetime) -> Iterator[tuple[Household, Answer]]:
    """The households that asked before something happened: who asks later knows of it."""
    for key, answer in known.asking.items():
        if key in known.homes and answer.since <= at:
            yield known.homes[key], answer


def _called_in(known: Known) -> Iterator[Say]:
    placed = known.called_in
    if placed is None:
        return
    for home, answer in _asked_before(known, placed.at):
        yield _news(
            known,
            "called-in",
            home,
            placed.at,
            title=f"{known.buy.title}: called in",
            to_do=f"Come to the pickup {known.pickup}: {known.buy.pickup_place}.",
            details=(
                f"You asked for {known.amounts(answer.amounts)}.",
                f"Called in: {known.ordered}.",
                "What you get is known once it is weighed and divided.",
            ),
        )


def _called_off(known: Known) -> Iterator[Say]:
    at = known.called_off_at
    for home, answer in _asked_before(known, at):
        yield _news(
            known,
            "called-off",
            home,
            at,
            title=f"{known.buy.title}: called off",
            to_do="Do not come for it: this buy is called off.",
            details=(
                f"Why: {known.buy.called_off_why}",
                f"You had asked for {known.amounts(answer.amounts)}.",
            ),
        )


def _moved(known: Known, at: datetime) -> Iterator[Say]:
    buy = known.buy
    for home, _ in _asked_before(known, at):
        yield _news(
            known,
            "moved",
            home,
            at,
            title=f"{buy.title}: the pickup is now {known.pickup}",
            to_do=f"See whether you can come {known.pickup}: {buy.pickup_place}.",
            details=(
                "The time or the place of this pickup has changed.",
                IF_YOU_CANNOT_COME.get(Buy.Stage(buy.stage), FROM_NOW_ON),
            ),
        )


def _divided(known: Known) -> Iterator[Say]:
    """Each household's share, also where it is nothing, and whether or not it was fetched."""
    buy = known.buy
    for key, parcels in known.parcels.items():
        shares = [(each.line_id, each.amount) for each in parcels if each.is_share]
        if not shares or key not in known.homes:
            continue
        got = known.brief(shares)
        asked = known.asking.get(key)
        yield _news(
            known,
            "divided",
            known.homes[key],
            max(known.divisions[line] for line, _ in shares),
            title=f"{buy.title}: your share is {got or 'nothing this time'}",
            to_do=(
                f"Fetch it {known.pickup}: {buy.pickup_place}."
                if got
                else "You have nothing to fetch: none of it fell to you."
            ),
            details=(f"You asked for {known.amounts(asked.amounts)}.",) if asked else (),
        )
