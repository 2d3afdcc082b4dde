"""What became of a buy: called in, its pickup moved, divided."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from datetime import datetime, timedelta
from typing import Any

from coop.buying.models import Buy
from coop.buying.notices import kinds
from coop.buying.notices.known import DIVIDED, Act, Answer, Known
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
        return
    if stage == Buy.Stage.CALLED_IN and known.called_in:
        yield from _called_in(known, Act(known.called_in.at, known.called_in.by))
    if stage in DIVIDED:
        yield from _divided(known)
    if known.moved:
        yield from _moved(known, known.moved)


def news(known: Known, key: str, home: Household, act: Act, **fields: Any) -> Say:
    """News of an act to a household, but for who did it, until they help nobody any more."""
    return Say(
        key=f"{key}/{home.pk}", to=home, not_to=act.not_to(home), **_fields(known, act) | fields
    )


def news_to_leader(
    known: Known, key: str, act: Act, told: Collection[int], **fields: Any
) -> Iterator[Say]:
    """The same to who leads the buy, if another did it and their household is not told anyway."""
    leader = known.buy.coordinator
    if act.by is None or leader.left_at or leader.pk == act.by.pk or leader.household_id in told:
        return
    yield Say(key=f"{key}/leader", to=leader, **_fields(known, act) | fields)


def _fields(known: Known, act: Act) -> dict[str, Any]:
    """News last until the pickup is over, or for a day where they come late."""
    return {
        "kind": kinds.NEWS.code,
        "at": act.at,
        "until": max(known.buy.pickup_to, act.at + A_DAY),
        "path": known.path(),
        "button": "See the buy",
    }


def asked_before(known: Known, at: datetime) -> dict[int, Answer]:
    """What households had asked for when something happened: who asks later knows of it."""
    return {
        key: answer
        for key, answer in known.asking.items()
        if key in known.homes and answer.since <= at
    }


def _called_in(known: Known, act: Act) -> Iterator[Say]:
    title = f"{known.buy.title}: called in"
    asked = asked_before(known, act.at)
    for key, answer in asked.items():
        yield news(
            known,
            "called-in",
            known.homes[key],
            act,
            title=title,
            to_do=f"Come to the pickup {known.pickup}: {known.buy.pickup_place}.",
            details=(
                f"You asked for {known.amounts(answer.amounts)}.",
                f"Called in: {known.ordered}.",
                "What you get is known once it is weighed and divided.",
            ),
        )
    to_do = f"See what {act.by} called in of the buy that you lead."
    details = (f"Called in: {known.ordered}.", known.when_and_where)
    yield from news_to_leader(
        known, "called-in", act, asked, title=title, to_do=to_do, details=details
    )


def _moved(known: Known, act: Act) -> Iterator[Say]:
    buy = known.buy
    for key in asked_before(known, act.at):
        yield news(
            known,
            "moved",
            known.homes[key],
            act,
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
    told = set()
    for key, parcels in known.parcels.items():
        shares = [(each.line_id, each.amount) for each in parcels if each.is_share]
        if not shares or key not in known.homes:
            continue
        told.add(key)
        got = known.brief(shares)
        asked = known.asking.get(key)
        yield news(
            known,
            "divided",
            known.homes[key],
            _latest(known.divisions[line] for line, _ in shares),
            title=f"{buy.title}: your share is {got or 'nothing this time'}",
            to_do=(
                f"Fetch it {known.pickup}: {buy.pickup_place}."
                if got
                else "You have nothing to fetch: none of it fell to you."
            ),
            details=(f"You asked for {known.amounts(asked.amounts)}.",) if asked else (),
        )
    if known.divisions:
        last = _latest(known.divisions.values())
        to_do = f"See how {last.by} divided the buy that you lead."
        title = f"{buy.title}: divided"
        yield from news_to_leader(known, "divided", last, told, title=title, to_do=to_do)


def _latest(acts: Iterable[Act]) -> Act:
    return max(acts, key=lambda act: act.at)
