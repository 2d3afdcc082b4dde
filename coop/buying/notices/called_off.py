"""That a buy is called off: to who asked, and to who was told that it takes asks; or on again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from coop.buying.models import Buy
from coop.buying.notices.known import Act, Known
from coop.buying.notices.news import asked_before, news, news_to_leader
from coop.core.figures import counted, join_words
from coop.notices.queries.told_before import households_told
from coop.notices.says import Say
from coop.people.changes import topic
from coop.people.models import Household

KEY = "called-off"


def said(known: Known) -> Iterator[Say]:
    """The reason to each of them, and to who leads the buy; in time for no more of it.

    Who was told so is told when the buy is taken up again.
    """
    if known.buy.stage == Buy.Stage.CALLED_OFF:
        yield from _off(known, known.called_off)
    elif known.buy.stage == Buy.Stage.ASKING and known.on_again:
        yield from _on_again(known, known.on_again)


def _off(known: Known, act: Act) -> Iterator[Say]:
    asked = asked_before(known, act.at)
    waiting = _waiting(known, act) if known.was_asking else []
    title, why = f"{known.buy.title}: called off", f"Why: {known.buy.called_off_why}"
    for key, answer in asked.items():
        to_do = "Do not come for it: this buy is called off."
        details = (why, f"You had asked for {known.amounts(answer.amounts)}.")
        yield _news(known, act, known.homes[key], title=title, to_do=to_do, details=details)
    for home in waiting:
        to_do = "You have nothing to do: this buy is called off, and you had not asked."
        yield _news(known, act, home, title=title, to_do=to_do, details=(why,))
    told = {*asked, *(home.pk for home in waiting)}
    to_do = f"You have nothing more to do: {act.by} called off the buy that you lead."
    yield from news_to_leader(known, KEY, act, told, title=title, to_do=to_do, details=(why,))


def _on_again(known: Known, act: Act) -> Iterator[Say]:
    told = households_told(known.buy.coop, topic(known.buy), act.at, what=f"{KEY}/")
    title = f"{known.buy.title}: on again"
    for key, home in known.homes.items():
        if key not in told:
            continue
        answer = known.asking.get(key)
        to_do = (
            "Count on it again: this buy is no longer called off."
            if answer
            else "Say how much you want, if you want any: this buy is no longer called off."
        )
        asked = (f"You asked for {known.amounts(answer.amounts)}.",) if answer else ()
        details = (*asked, known.when_and_where)
        yield news(known, "on-again", home, act, title=title, to_do=to_do, details=details)
    to_do = f"See to the buy that you lead: {act.by} took it up again."
    yield from news_to_leader(known, "on-again", act, told, title=title, to_do=to_do)


def _news(known: Known, act: Act, home: Household, **words: Any) -> Say:
    return news(known, KEY, home, act, **words)


def _waiting(known: Known, act: Act) -> list[Household]:
    """Who had been told of it and has not answered; who gave up its ask is left in peace."""
    told = households_told(known.buy.coop, topic(known.buy), act.at)
    return [home for key, home in known.homes.items() if key in told and key not in known.answers]


def whom_it_tells(buy: Buy, now: datetime) -> str:
    """Whom calling a buy off at this moment tells, in a sentence. Three queries at the most."""
    known = Known(buy)
    asked = len(asked_before(known, now))
    waiting = len(_waiting(known, Act(now))) if buy.stage == Buy.Stage.ASKING else 0
    parts = [
        f"{counted(asked, 'household')} that asked" * bool(asked),
        f"{counted(waiting, 'household')} that knew of the buy and had not asked" * bool(waiting),
    ]
    if not any(parts):
        return "Nobody asked, and nobody has been told of the buy: nobody is told."
    return f"Told at once, with your reason: {join_words(filter(None, parts))}."
