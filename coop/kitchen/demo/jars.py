"""Plays what the households of the demo do with their jars: homes, counts, loans."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import partial
from itertools import groupby

from coop.buying.demo.script import Row
from coop.jars.actions.counts import Counted, save_count
from coop.jars.actions.homes import set_home
from coop.jars.actions.loans import Proposal, agree, ask_for_jars, offer_jars
from coop.jars.actions.moves import Told, hand_over, take_back
from coop.jars.models import Loan
from coop.jars.queries.stock import Held, HeldLids
from coop.kitchen.demo.script import Event, KitchenScript, Part, Stage
from coop.people.models import Member

#: Before anybody asks for jars that day.
COUNTED_AT = "07:20"


def jar_events(script: KitchenScript, stage: Stage) -> Iterator[Event]:
    """Every act, each with its moment."""
    for row in script.homes:
        yield stage.at(*script.season["homes_at"]), partial(_set_home, row, stage)
    for (name, day), rows in groupby(script.jars, key=lambda row: (row["household"], row["day"])):
        counted = _counted(list(rows))
        yield stage.at(int(day), COUNTED_AT), partial(_count, name, counted, stage)
    for part in script.season["loan"]:
        yield from _loan_events(part, stage)


def _set_home(row: Row, stage: Stage) -> None:
    member = stage.speaker(row["household"])
    place = (Decimal(row["latitude"]), Decimal(row["longitude"]))
    set_home(member.household, place, by=member)


def _counted(rows: Iterable[Row]) -> Counted:
    """A count from its rows: "quart wide" has jars, "lids wide" has lids and bands."""
    kinds, lids = {}, {}
    for row in rows:
        what, mouth = row["what"].split()
        if what == "lids":
            lids[mouth] = HeldLids(int(row["lids"]), int(row["bands"]))
        else:
            held = Held(*(int(row[name] or 0) for name in ("full", "empty", "spare")))
            kinds[f"{what}_{mouth}"] = held
    return Counted(kinds, lids)


def _count(name: str, counted: Counted, stage: Stage) -> None:
    member = stage.speaker(name)
    save_count(member.household, counted, by=member)


def _loan_events(part: Part, stage: Stage) -> Iterator[Event]:
    loan: list[Loan] = []
    yield stage.moment(part), lambda: loan.append(_begin(part, stage))
    if "agreed" in part:
        yield stage.at(*part["agreed"]), lambda: agree(loan[0].pk, by=_answers(part, stage))
    if "handed_over" in part:
        yield stage.at(*part["handed_over"]), lambda: _hand_over(loan[0], part, stage)
    for back in part.get("back", []):
        yield stage.moment(back), partial(_take_back, loan, part, back, stage)


def _begin(part: Part, stage: Stage) -> Loan:
    lender, borrower = stage.household(part["lender"]), stage.household(part["borrower"])
    wish = Proposal(part["jars"], stage.day(part["due"]), part["message"])
    if part["started"] == Loan.Started.ASKED:
        return ask_for_jars(lender, borrower, wish, by=stage.speaker(part["borrower"]))
    return offer_jars(lender, borrower, wish, by=stage.speaker(part["lender"]))


def _answers(part: Part, stage: Stage) -> Member:
    asked = part["started"] == Loan.Started.ASKED
    return stage.speaker(part["lender" if asked else "borrower"])


def _hand_over(loan: Loan, part: Part, stage: Stage) -> None:
    hand_over(loan.pk, Told(part["jars"]), by=stage.speaker(part["lender"]))


def _take_back(loan: list[Loan], part: Part, back: Part, stage: Stage) -> None:
    take_back(loan[0].pk, Told(back["jars"]), by=stage.speaker(part["lender"]))
