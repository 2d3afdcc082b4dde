"""What is due of a buy from the member who leads it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from coop.buying.models import Buy
from coop.buying.notices import kinds
from coop.buying.notices.known import DIVIDED, Known
from coop.core.figures import counted
from coop.notices.says import Role, Say


def said(known: Known) -> Iterator[Say]:
    """The next step at the moment at which it is due: one at a time, or none."""
    buy = known.buy
    if buy.stage == Buy.Stage.ASKING:
        yield _closed(known)
    elif buy.stage == Buy.Stage.CALLED_IN:
        to_do = "Count and weigh what came, then divide it."
        details = (f"Called in: {known.ordered}.",)
        yield _pickup(known, to_do, page="tally", button="Tally", details=details)
    elif buy.stage == Buy.Stage.COLLECTED:
        to_do = "Divide what came, so that each household knows its share."
        yield _pickup(known, to_do, page="divide", button="Divide", details=())
    elif buy.stage in DIVIDED and known.is_uncharged:
        yield _step(
            known,
            "charge",
            buy.pickup_to,
            title=f"{buy.title}: the produce is not charged yet",
            to_do="Charge the produce, so that everybody can square up.",
            page="costs",
            button="Costs",
        )


def _closed(known: Known) -> Say:
    buy = known.buy
    title = f"{buy.title}: asks closed {known.close}"
    if not known.asking:
        return _step(
            known,
            "closed",
            buy.asks_close_at,
            title=title,
            to_do="Nobody asked: open the asks again, or call the buy off.",
        )
    sums = [item for answer in known.asking.values() for item in answer.amounts.items()]
    return _step(
        known,
        "closed",
        buy.asks_close_at,
        title=title,
        to_do="Choose the containers, and call the order in.",
        details=(f"{counted(len(known.asking), 'household')} asked: {known.amounts(sums)}.",),
        page="lots",
        button="Choose lots",
    )


def _pickup(known: Known, to_do: str, *, page: str, button: str, details: tuple[str, ...]) -> Say:
    """One key for what is to be done before the shares can be handed out."""
    return _step(
        known,
        "pickup",
        known.buy.pickup_from,
        title=f"{known.buy.title}: the pickup begins {known.at(known.buy.pickup_from)}",
        to_do=to_do,
        page=page,
        button=button,
        details=details,
    )


def _step(
    known: Known,
    key: str,
    at: datetime,
    *,
    title: str,
    to_do: str,
    page: str = "buy",
    button: str = "See the buy",
    details: tuple[str, ...] = (),
) -> Say:
    """To who leads the buy; once that member has left, to the coordinators."""
    leader = known.buy.coordinator
    return Say(
        key=f"run/{key}",
        kind=kinds.TO_RUN.code,
        to=Role("coordinator") if leader.left_at else leader,
        at=at,
        title=title,
        to_do=to_do,
        details=details,
        path=known.path(page),
        button=button,
    )
