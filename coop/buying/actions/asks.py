"""Asking, changing an ask, and giving it up before the close."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction
from django.utils import timezone

from coop.buying.actions.stages import require_stage
from coop.buying.errors import AsksClosed, Refused
from coop.buying.models import Ask, Buy, Line, RulesAccepted
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.asks import are_asks_open, ask_of
from coop.buying.queries.buys import line_for, lock_buy
from coop.buying.rights import require_ask_for
from coop.core.figures import quantity
from coop.people.changes import record_change
from coop.people.models import Household, Member

#: No household of a larder asks for more: 10,000 lb, or 100,000 pieces.
MOST_ASKED = 100_000


@dataclass(frozen=True)
class AskTerms:
    """What a household wants, in base steps of the line.

    at_least: it must get this much, or nothing where `or_none` is set.
    at_most: it would take this much; None is no more than wanted.
    whole: size of the container, where it takes whole containers only.
    """

    wanted: int
    at_least: int = 0
    at_most: int | None = None
    whole: int | None = None
    or_none: bool = False
    purpose: str = ""


def place_ask(
    buy_id: int,
    line_id: int,
    terms: AskTerms,
    *,
    household: Household,
    by: Member,
    accept_rules: bool = False,
) -> Ask:
    """Ask for a household, or change its ask. Its first ask of a buy accepts the buy's rules."""
    require_ask_for(by, household)
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        line = line_for(by, buy.pk, line_id)
        require_open(buy)
        terms = _with_minimum(terms)
        _check(line, terms)
        accept(buy, household, by=by, accepts=accept_rules)
        before = ask_of(line, household)
        ask = _save(line, household, terms, by=by)
        record_change(
            buy,
            f"{household.name} asks for {quantity(terms.wanted, line.measure)} {line.produce}",
            coop=buy.coop,
            by=by,
            before=_told(before) if before else {},
            after=_told(ask),
        )
        renew_buy(buy.pk)
        return ask


def give_up_ask(buy_id: int, line_id: int, *, household: Household, by: Member) -> Ask:
    """Give up an ask before the close."""
    require_ask_for(by, household)
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        line = line_for(by, buy.pk, line_id)
        require_open(buy)
        ask = ask_of(line, household)
        if ask is None or not ask.wanted:
            raise Refused(f"{household.name} asks for no {line.produce}.")
        before = _told(ask)
        ask = _save(line, household, AskTerms(wanted=0), by=by)
        words = f"{household.name} gave up its ask for {line.produce}"
        record_change(buy, words, coop=buy.coop, by=by, before=before, after=_told(ask))
        renew_buy(buy.pk)
        return ask


def require_open(buy: Buy) -> None:
    """Raise AsksClosed, or WrongStage, once asks may change no more."""
    require_stage(buy, Buy.Stage.ASKING)
    if not are_asks_open(buy):
        raise AsksClosed(
            "Asks for this buy are closed. What you asked for can still pass to another household: "
            "offer it on the page of the buy."
        )


def accept(buy: Buy, household: Household, *, by: Member, accepts: bool) -> None:
    """Record that a household accepts the rules of a buy, unless it did before."""
    if RulesAccepted.objects.filter(buy=buy, household=household).exists():
        return
    if not accepts:
        raise Refused("Read the rules of this buy, and say yes to them.", field="accept_rules")
    RulesAccepted.objects.create(buy=buy, household=household, by=by)


def _with_minimum(terms: AskTerms) -> AskTerms:
    """All or nothing, with no minimum given, means all of what is wanted."""
    if terms.or_none and not terms.at_least:
        return replace(terms, at_least=terms.wanted)
    return terms


def _check(line: Line, terms: AskTerms) -> None:
    if not terms.wanted:
        raise Refused("Say how much you want.", field="wanted")
    if terms.wanted > MOST_ASKED or (terms.at_most or 0) > MOST_ASKED:
        raise Refused(f"Ask for {quantity(MOST_ASKED, line.measure)} at most.", field="wanted")
    if terms.at_least > terms.wanted:
        raise Refused("The least is more than what you want.", field="at_least")
    if terms.at_most is not None and terms.at_most < terms.wanted:
        raise Refused("The most is less than what you want.", field="at_most")
    _check_whole(line, terms)
    for field in ("wanted", "at_least", "at_most"):
        _check_step(line, terms, field)


def _check_whole(line: Line, terms: AskTerms) -> None:
    sizes = {supply.size for supply in line.supplies.all()}
    if terms.whole is not None and terms.whole not in sizes:
        raise Refused("No farm of this line sells that container.", field="whole")


def _check_step(line: Line, terms: AskTerms, field: str) -> None:
    step = terms.whole or line.step
    amount = getattr(terms, field) or 0
    if amount % step == 0:
        return
    below, above = amount - amount % step, amount - amount % step + step
    near = " or ".join(quantity(each, line.measure) for each in (below, above) if each)
    what = "Whole containers hold" if terms.whole else "Shares of this go in steps of"
    raise Refused(f"{what} {quantity(step, line.measure)}: make it {near}.", field=field)


def _save(line: Line, household: Household, terms: AskTerms, *, by: Member) -> Ask:
    values: dict[str, Any] = {
        "wanted": terms.wanted,
        "at_least": terms.at_least,
        "at_most": terms.at_most,
        "whole": terms.whole,
        "or_none": terms.or_none,
        "purpose": terms.purpose,
        "by": by,
        "changed_at": timezone.now(),
    }
    ask, _ = Ask.objects.update_or_create(line=line, household=household, defaults=values)
    return ask


def _told(ask: Ask) -> dict[str, Any]:
    names = ("line_id", "household_id", "wanted", "at_least", "at_most", "whole", "or_none")
    return {name: getattr(ask, name) for name in names} | {"purpose": ask.purpose}
