"""While a buy takes asks: that it does, when they close, and the last day to change one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from coop.buying.models import Buy
from coop.buying.notices import kinds
from coop.buying.notices.known import Answer, Known
from coop.core.figures import money
from coop.notices.says import Say
from coop.people.models import Household

#: A buy that opens so shortly before its close is told by the close alone, which comes at once.
CLOSES_SOON = timedelta(hours=48)
#: So long after its first line a buy is told of: whoever posts it puts in the others meanwhile.
GRACE = timedelta(minutes=15)


def said(known: Known) -> Iterator[Say]:
    """To who has not answered, that the buy takes asks and closes; to who asks, the close alone.

    Who gave up all that it asked for has answered, and is told nothing more.
    """
    if known.buy.stage != Buy.Stage.ASKING or not known.lines:
        return
    for home in known.homes.values():
        answer = known.answers.get(home.pk)
        if answer is None:
            since = max(known.opened.at + GRACE, home.joined_at)
            if known.buy.asks_close_at - since > CLOSES_SOON:
                yield _opens(known, home, since)
            yield _closes(known, home)
        elif answer.amounts:
            yield _last_change(known, home, answer)


def _opens(known: Known, home: Household, since: datetime) -> Say:
    buy = known.buy
    return Say(
        key=f"opens/{home.pk}",
        kind=kinds.OPENS.code,
        to=home,
        at=since,
        until=buy.asks_close_at,
        not_to=known.opened.not_to(home),
        title=f"{buy.title}: asks are open until {known.close_by}",
        to_do=f"Say how much you want by {known.close_by}.",
        details=(f"It is for: {known.produce}.", known.when_and_where),
        **_page(known),
    )


def _closes(known: Known, home: Household) -> Say:
    return Say(
        kind=kinds.CLOSES.code,
        to_do="Say how much you want, if you want any.",
        details=(f"It is for: {known.produce}.", _after_the_close(known), known.when_and_where),
        **_close(known, home),
        **_page(known),
    )


def _last_change(known: Known, home: Household, answer: Answer) -> Say:
    return Say(
        kind=kinds.LAST_CHANGE.code,
        to_do=f"Change what you asked for by {known.close_by}, or leave it as it is.",
        details=(
            f"You asked for {known.amounts(answer.amounts)}.",
            _after_the_close(known),
            known.when_and_where,
        ),
        **_close(known, home),
        **_page(known, change=True),
    )


def _close(known: Known, home: Household) -> dict[str, Any]:
    """One key whether it has asked or not, so that one entry stands in its calendar."""
    title = f"{known.buy.title}: asks close {known.close}"
    at = known.buy.asks_close_at
    return {"key": f"close/{home.pk}", "to": home, "at": at, "title": title}


def _after_the_close(known: Known) -> str:
    fee = known.buy.late_change_cents
    costs = f", which costs {money(fee, known.buy.coop.currency)}" if fee else ""
    return f"After the close an ask changes only by finding a taker{costs}."


def _page(known: Known, *, change: bool = False) -> dict[str, Any]:
    """The page of the ask where the buy has one line, else that of the buy."""
    if len(known.lines) > 1:
        return {"path": known.path(), "button": "See the buy"}
    button = "Change your ask" if change else "Say how much you want"
    return {"path": known.path("ask", *known.lines), "button": button}
