"""What a buy has to tell from: read once, in a few queries whatever its size. No clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.urls import reverse

from coop.buying.models import Ask, Buy, CallIn, Charge, Division, Line, Share, SpareClaim, Supply
from coop.core import moments
from coop.core.figures import counted, join_words, quantity
from coop.people.changes import topic
from coop.people.models import Change, Household, Member

DIVIDED = (Buy.Stage.DIVIDED, Buy.Stage.SQUARED)
FETCHING = (Buy.Stage.COLLECTED, *DIVIDED)
PICKUP_FIELDS = ("pickup_place", "pickup_from", "pickup_to")
#: Writing numbers takes most of the time here, and what households ask for recurs.
_quantity = lru_cache(maxsize=4096)(quantity)
#: What a change of a buy says of a line that was put in.
LINE_ADDED = "line"


@dataclass
class Answer:
    """What a household asks of a buy, in base steps by line; nothing where it gave all up."""

    since: datetime
    amounts: dict[int, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Act:
    """Something that was done of a buy: when, and by whom where that is known."""

    at: datetime
    by: Member | None = None

    def not_to(self, home: Household) -> Member | None:
        """Who of a household needs no word of it, since they did it."""
        return self.by if self.by and self.by.household_id == home.pk else None


@dataclass(frozen=True)
class Parcel:
    """One thing that a household gets: a share, which may be 0, or what it claimed."""

    line_id: int
    amount: int
    fetched_at: datetime | None
    released_at: datetime | None = None
    is_share: bool = True

    @property
    def is_waiting(self) -> bool:
        """Whether it is still to be fetched."""
        return self.amount > 0 and self.fetched_at is None and self.released_at is None


@dataclass
class Known:
    """A buy and all that its notices say, each part read when it is first needed.

    `homes` are the households that belong to the co-op now; nobody else is told.
    """

    buy: Buy

    # ---- what there is --------------------------------------------------------------------
    @cached_property
    def homes(self) -> dict[int, Household]:
        """The households of the co-op, by their key."""
        found = Household.objects.filter(coop=self.buy.coop_id, left_at=None).order_by("pk")
        return {home.pk: home for home in found}

    @cached_property
    def lines(self) -> dict[int, Line]:
        """The lines, in order, by their key."""
        return {line.pk: line for line in self.buy.lines.order_by("position", "pk")}

    @cached_property
    def answers(self) -> dict[int, Answer]:
        """What each household answered, by its key; who has not answered is not in it."""
        rows = Ask.objects.filter(line__buy=self.buy).order_by("line__position", "line_id")
        found: dict[int, Answer] = {}
        for home, line, wanted, at in rows.values_list(
            "household_id", "line_id", "wanted", "placed_at"
        ):
            answer = found.setdefault(home, Answer(at))
            answer.since = min(answer.since, at)
            if wanted:
                answer.amounts[line] = wanted
        return found

    @cached_property
    def asking(self) -> dict[int, Answer]:
        """Of the answers, those of households that ask for something."""
        return {home: answer for home, answer in self.answers.items() if answer.amounts}

    @cached_property
    def called_in(self) -> CallIn | None:
        """The call-in, if the buy was called in."""
        return CallIn.objects.filter(buy=self.buy).select_related("by").first()

    @cached_property
    def ordered(self) -> str:
        """What was called in, in words: "2 bushels sweet corn"."""
        rows = Supply.objects.filter(line__buy=self.buy, called_in__gt=0)
        sums: dict[tuple[int, str], int] = {}
        for line, container, count in rows.order_by("line__position", "pk").values_list(
            "line_id", "container", "called_in"
        ):
            sums[line, container] = sums.get((line, container), 0) + (count or 0)
        return join_words(
            f"{counted(count, container)} {self.lines[line].produce.lower()}"
            for (line, container), count in sums.items()
        )

    @cached_property
    def divisions(self) -> dict[int, Act]:
        """When and by whom each line that is divided was divided, by its key."""
        standing = Division.objects.filter(line__buy=self.buy, withdrawn_at=None)
        return {
            each.line_id: Act(each.published_at, each.published_by)
            for each in standing.select_related("published_by")
        }

    @cached_property
    def parcels(self) -> dict[int, list[Parcel]]:
        """Shares and claims, by household."""
        shares = Share.objects.filter(
            division__line__buy=self.buy, division__withdrawn_at=None
        ).values_list("household", "division__line", "amount", "fetched_at", "released_at")
        claims = SpareClaim.objects.filter(
            spare__division__line__buy=self.buy, spare__division__withdrawn_at=None
        ).values_list("household", "spare__division__line", "amount", "fetched_at")
        found: dict[int, list[Parcel]] = {}
        for home, line, amount, fetched, released in shares.order_by("pk"):
            found.setdefault(home, []).append(Parcel(line, amount, fetched, released))
        for home, line, amount, fetched in claims.order_by("pk"):
            found.setdefault(home, []).append(Parcel(line, amount, fetched, is_share=False))
        return found

    @cached_property
    def is_uncharged(self) -> bool:
        """Whether produce of a divided line has a bill and is not charged."""
        charged = Charge.objects.filter(
            buy=self.buy, what=Charge.What.PRODUCE, reversed_at=None
        ).values("line_id")
        billed = Division.objects.filter(
            line__buy=self.buy, withdrawn_at=None, line__supplies__tally__bill_cents__gt=0
        )
        return billed.exclude(line__in=charged).exists()

    @cached_property
    def _changes(self) -> list[Change]:
        """What its history says of moments that no column keeps, the oldest first."""
        told = Q(after__has_any_keys=[*PICKUP_FIELDS, LINE_ADDED])
        told |= Q(after__stage=Buy.Stage.CALLED_OFF) | Q(before__stage=Buy.Stage.CALLED_OFF)
        about = Change.objects.filter(coop=self.buy.coop_id, about=topic(self.buy))
        return list(about.filter(told).select_related("member").order_by("at", "pk"))

    def _done(self, *fields: str) -> list[Change]:
        """The changes of any of these, the oldest first."""
        return [each for each in self._changes if set(fields) & set(each.after)]

    @property
    def opened(self) -> Act:
        """When there was first something to ask for, and who put it in."""
        for first in self._done(LINE_ADDED):
            return Act(first.at, first.member)
        return Act(self.buy.created_at)

    @property
    def moved(self) -> Act | None:
        """When and by whom the pickup was last moved, if it was."""
        moved = self._done(*PICKUP_FIELDS)
        return Act(moved[-1].at, moved[-1].member) if moved else None

    @property
    def _called_off(self) -> Change | None:
        """The last time that it was called off."""
        ends = [each for each in self._done("stage") if each.after["stage"] == Buy.Stage.CALLED_OFF]
        return ends[-1] if ends else None

    @property
    def called_off(self) -> Act:
        """When and by whom the buy was called off."""
        end = self._called_off
        return Act(end.at, end.member) if end else Act(self.buy.created_at)

    @property
    def was_asking(self) -> bool:
        """Whether it was still to be called in when it was called off."""
        end = self._called_off
        return end is not None and end.before.get("stage") == Buy.Stage.ASKING

    @property
    def on_again(self) -> Act | None:
        """When and by whom it was last taken up again after it was called off, if it was."""
        turns = self._done("stage")
        if not turns or turns[-1].before.get("stage") != Buy.Stage.CALLED_OFF:
            return None
        return Act(turns[-1].at, turns[-1].member)

    # ---- as it is said ----------------------------------------------------------------------
    @cached_property
    def zone(self) -> ZoneInfo:
        """The co-op's zone."""
        return ZoneInfo(self.buy.coop.time_zone)

    def at(self, moment: datetime) -> str:
        """A moment by the co-op's clocks: "Fri 14 Aug at 12:00"."""
        return moments.at(moment, self.zone)

    @cached_property
    def close(self) -> str:
        """When asks close, after that word."""
        return moments.ends(self.buy.asks_close_at, self.zone)

    @cached_property
    def close_by(self) -> str:
        """When asks close, after "by" or "until"."""
        return moments.by(self.buy.asks_close_at, self.zone)

    @cached_property
    def pickup(self) -> str:
        """When the pickup is: "Sat 15 Aug, 8:00 to 10:00"."""
        start, end = self.buy.pickup_from, self.buy.pickup_to
        first = moments.local(start, self.zone)
        said = moments.span(start, end, self.zone)
        same_day = first.date() == moments.local(end, self.zone).date()
        return f"{moments.day(first.date())}, {said}" if same_day else said

    @cached_property
    def when_and_where(self) -> str:
        """The pickup, one line."""
        return f"Pickup {self.pickup}: {self.buy.pickup_place}."

    @cached_property
    def produce(self) -> str:
        """What it is of: "Sweet corn and tomatoes"."""
        said = join_words(line.produce.lower() for line in self.lines.values())
        return said[:1].upper() + said[1:]

    def amounts(self, of: Mapping[int, int] | Iterable[tuple[int, int]]) -> str:
        """Base steps by line as a sentence lists them: "35 lb sweet corn and 2 lb okra"."""
        sums: dict[int, int] = {}
        for line, steps in of.items() if isinstance(of, Mapping) else of:
            sums[line] = sums.get(line, 0) + steps
        lines = [line for line in self.lines.values() if sums.get(line.pk)]
        return join_words(
            f"{_quantity(sums[line.pk], line.measure)} {line.produce.lower()}" for line in lines
        )

    def brief(self, of: Iterable[tuple[int, int]]) -> str:
        """The same without the name of the produce where there is only one: "35 lb"."""
        if len(self.lines) > 1:
            return self.amounts(of)
        (line,) = self.lines.values()
        steps = sum(each for _, each in of)
        return _quantity(steps, line.measure) if steps else ""

    def path(self, name: str = "buy", *parts: int) -> str:
        """The address of a page of this buy."""
        return reverse(f"buying:{name}", args=[self.buy.coop.slug, self.buy.pk, *parts])
