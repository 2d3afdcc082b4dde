"""Plays one buy of the demo through, each act at its own day and hour."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from functools import partial
from typing import Any

from coop.buying.actions.asks import AskTerms, place_ask
from coop.buying.actions.buys import BuyPlan, BuyRules, post_buy
from coop.buying.actions.call_in import call_in, call_off
from coop.buying.actions.divide import publish_division
from coop.buying.actions.lines import add_line
from coop.buying.actions.pickup import tick_household
from coop.buying.actions.tally import finish_tally, record_tally
from coop.buying.demo import books
from coop.buying.demo.people import Members
from coop.buying.demo.scales import as_loaded
from coop.buying.demo.script import Row, Script, cents, steps
from coop.buying.models import Buy, Line, Offer
from coop.buying.queries.lines import lines_of, supplies_of
from coop.buying.queries.lots import counts_of, plans_of
from coop.core.division import Rule
from coop.people.models import Household, Member

STAGES = ("asking", "called_in", "collected", "divided", "squared")
Event = tuple[datetime, Callable[[], object]]


@dataclass
class Story:
    """One buy of the script. `events` are its acts; the first of them posts it."""

    script: dict[str, Any]
    asks: list[Row]
    members: Members
    now: datetime
    buy: Buy = field(init=False)

    def events(self) -> Iterator[Event]:
        """The acts of this buy up to the stage that the script plays it to, in order of time."""
        close, (day, opens, _) = self._at(*self.script["close"]), self.script["pickup"]
        pickup = self._at(day, opens)
        posted = self._at(self.script["posted"], "09:00")
        yield posted, self._post
        yield from self._asking(posted, min(close, self.now))
        if self.script["until"] == "called_off":
            yield close + timedelta(hours=14), self._call_off
        if self._reaches("called_in"):
            yield close + timedelta(hours=1), self._call_in
        loaded = min(pickup, self.now) - timedelta(hours=4)
        if self._reaches("collected"):
            yield loaded, self._tally
        if self._reaches("divided"):
            yield loaded + timedelta(hours=1), self._divide
            yield loaded + timedelta(hours=2), partial(books.pay_and_charge, self)
            yield pickup + timedelta(minutes=40), self._fetch
        if "marked_paid" in self.script:
            yield pickup + timedelta(hours=5), partial(books.open_round, self)
        if self._reaches("squared"):
            yield pickup + timedelta(days=3), partial(books.square, self)

    def household(self, name: str) -> Household:
        """A household by its name."""
        return self.speaker(name).household

    def speaker(self, name: str) -> Member:
        """Who speaks for a household: its first member."""
        return next(each for each in self.members.values() if each.household.name == name)

    @property
    def leader(self) -> Member:
        """The member who leads the buy."""
        return self.members[self.script["led_by"]]

    def _reaches(self, stage: str) -> bool:
        until = self.script["until"]
        return until in STAGES and STAGES.index(until) >= STAGES.index(stage)

    def _at(self, days: int, clock: str) -> datetime:
        day = self.now.date() + timedelta(days=days)
        return datetime.combine(day, time.fromisoformat(clock), self.now.tzinfo)

    # ---- the acts ---------------------------------------------------------------------------
    def _post(self) -> None:
        day, opens, ends = self.script["pickup"]
        plan = BuyPlan(
            title=self.script["title"],
            asks_close_at=self._at(*self.script["close"]),
            pickup_place=self.script["place"],
            pickup_from=self._at(day, opens),
            pickup_to=self._at(day, ends),
            note=self.script.get("note", ""),
        )
        self.buy = post_buy(plan, self._rules(), by=self.leader)
        by_produce: dict[str, list[int]] = {}
        for produce, farm, container in self.script["offers"]:
            offer = Offer.objects.get(
                farm__coop=self.leader.coop,
                farm__name=farm,
                produce=produce,
                container=container,
            )
            by_produce.setdefault(produce, []).append(offer.pk)
        for produce, offers in by_produce.items():
            add_line(self.buy.pk, offers, produce=produce, by=self.leader)

    def _rules(self) -> BuyRules:
        fronted = self.script.get("fronted_by")
        return BuyRules(
            shortage_rule=self.script.get("shortage_rule", "season"),
            late_change_cents=cents(self.script.get("late_change", "0")),
            no_show_cents=cents(self.script.get("no_show", "0")),
            fuel_basis=self.script.get("fuel_basis", "by_trip"),
            cover=Buy.Cover.FRONTED if fronted else Buy.Cover.COVERED,
            fronted_by=self.household(fronted) if fronted else None,
            front_limit_cents=cents(self.script["front_limit"]) if fronted else None,
        )

    def _asking(self, posted: datetime, last: datetime) -> Iterator[Event]:
        pause = (last - posted) / (len(self.asks) + 1)
        for number, row in enumerate(self.asks, start=1):
            yield posted + number * pause, partial(self._ask, row)

    def _ask(self, row: Row) -> None:
        line = Line.objects.get(buy=self.buy, produce=row["produce"])
        sizes = sorted(supply.size for supply in line.supplies.all())
        wanted = steps(row["wanted"], line.measure)
        whole = next((size for size in sizes if wanted % size == 0), None) if row["whole"] else None
        terms = AskTerms(
            wanted=wanted,
            at_least=steps(row["at_least"], line.measure),
            at_most=steps(row["at_most"], line.measure) or None,
            whole=whole,
            or_none=bool(row["or_none"]),
            purpose=row["purpose"],
        )
        speaker = self.speaker(row["household"])
        place_ask(
            self.buy.pk,
            line.pk,
            terms,
            household=speaker.household,
            by=speaker,
            accept_rules=True,
        )

    def _call_in(self) -> None:
        counts = counts_of(plans_of(lines_of([self.buy])))
        call_in(self.buy.pk, counts, by=self.leader)

    def _call_off(self) -> None:
        call_off(self.buy.pk, self.script["why"], by=self.leader)

    def _tally(self) -> None:
        for supply in supplies_of(lines_of([self.buy])):
            came = next(
                each
                for each in self.script["tally"]
                if (each["produce"], each["farm"]) == (supply.line.produce, supply.farm.name)
            )
            record_tally(supply, as_loaded(supply, came), by=self.leader)
        finish_tally(self.buy, by=self.leader)

    def _divide(self) -> None:
        for line in Line.objects.filter(buy=self.buy):
            publish_division(line, Rule(self.buy.shortage_rule), by=self.leader)

    def _fetch(self) -> None:
        asked = list(dict.fromkeys(row["household"] for row in self.asks))
        for name in self.script.get("fetched", asked):
            tick_household(self.buy, self.household(name), by=self.leader)
        books.take_cash(self)


def stories(script: Script, members: Members, now: datetime) -> list[Story]:
    """Every buy of the script, with its asks."""
    return [
        Story(buy, [row for row in script.asks if row["buy"] == buy["key"]], members, now)
        for buy in script.buys
    ]
