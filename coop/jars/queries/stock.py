"""What households have now: the newest count, and what happened since. Nothing of it is stored.

Since a count loans move empty jars, and what other apps tell of (coop.jars.hooks: jars put up, jars
taken from the shelf) turns empty ones into full ones and back. It is reckoned in order of time, and
never below zero: who puts up more jars than were counted has found some more. Spare jars follow
only counts and loans, and are never more than the empty ones. Bands stay as they were counted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from coop.jars import hooks
from coop.jars.hooks import Flow
from coop.jars.kinds import KINDS, Mouth, size_and_mouth
from coop.jars.models import Count, CountedJars, CountedLids, JarMove, LoanLine
from coop.people.models import Coop, Household, Member

OLD_AFTER = timedelta(days=60)  # common practice, no source
VERY_OLD_AFTER = timedelta(days=180)  # common practice, no source

What = JarMove.What
#: What each move does to the empty jars of the lender, and of the borrower.
LENDER_GAINS: Mapping[str, int] = {What.HANDED_OVER: -1, What.RETURNED: 1}
BORROWER_GAINS: Mapping[str, int] = {What.HANDED_OVER: 1, What.RETURNED: -1, What.BROKEN: -1}

#: Jars by household (its id) and kind.
Jars = Counter[tuple[int, str]]


class Age(StrEnum):
    """How far a count can be trusted."""

    FRESH = "fresh"
    OLD = "old"
    VERY_OLD = "very old"


@dataclass(frozen=True)
class Held:
    """Jars of one kind. The spare ones are among the empty ones."""

    full: int = 0
    empty: int = 0
    spare: int = 0


@dataclass(frozen=True)
class HeldLids:
    """New lids and usable bands of one mouth."""

    lids: int = 0
    bands: int = 0


@dataclass(frozen=True)
class Stock:
    """What a household has now, and how old its newest count is (None: never counted).

    `kinds` and `lids` go by their keys, in the order of coop.jars.kinds; a kind that is not in them
    is one that the household does not have. `promised` are jars agreed to and not handed over yet:
    they are among the empty ones, and no longer among the spare.
    """

    household: Household
    counted_at: datetime | None = None
    by: Member | None = None
    kinds: Mapping[str, Held] = field(default_factory=dict)
    lids: Mapping[str, HeldLids] = field(default_factory=dict)
    promised: Mapping[str, int] = field(default_factory=dict)

    @property
    def total(self) -> Held:
        """Jars of all kinds together."""
        held = self.kinds.values()
        return Held(
            sum(each.full for each in held),
            sum(each.empty for each in held),
            sum(each.spare for each in held),
        )


def stock_of(household: Household) -> Stock:
    """What one household has now, whether or not it has left."""
    return _stocks(household.coop, Household.objects.filter(pk=household.pk))[household.pk]


def stocks_in(coop: Coop) -> dict[int, Stock]:
    """What every household of the co-op has now, by the household's id, in order of names.

    Seven queries and those of the hooks, whatever the number of households, jars and loans.
    """
    return _stocks(coop, coop.households.filter(left_at__isnull=True))


def age_of(stock: Stock, now: datetime) -> Age:
    """How old the newest count is; VERY_OLD where there is none."""
    if stock.counted_at is None or now - stock.counted_at > VERY_OLD_AFTER:
        return Age.VERY_OLD
    return Age.OLD if now - stock.counted_at > OLD_AFTER else Age.FRESH


def newest_counts(households: QuerySet[Household]) -> QuerySet[Count]:
    """The newest count of each household that has one."""
    newest = Count.objects.filter(household=OuterRef("household")).values("pk")[:1]
    return Count.objects.filter(household__in=households, pk=Subquery(newest))


def _stocks(coop: Coop, households: QuerySet[Household]) -> dict[int, Stock]:
    counts = {count.household_id: count for count in newest_counts(households).select_related("by")}
    lent = _moved_since(households, "lender", LENDER_GAINS)
    borrowed = _moved_since(households, "borrower", BORROWER_GAINS)
    flows = sorted([*lent, *borrowed, *_told_since(coop, counts)], key=_in_order)
    counted, promised = _counted_jars(households), _promised(households)
    spare: Jars = Counter({key: held.spare for key, held in counted.items()})
    for flow in lent:
        spare[flow.household_id, flow.kind] += flow.empty
    held, lids = _held(counted, flows), _lids(_counted_lids(households), flows)
    return {
        household.pk: Stock(
            household,
            counted_at=counts[household.pk].at if household.pk in counts else None,
            by=counts[household.pk].by if household.pk in counts else None,
            kinds={
                kind: replace(
                    held[key], spare=min(held[key].empty, max(0, spare[key] - promised[key]))
                )
                for kind in KINDS
                if (key := (household.pk, kind)) in held
            },
            lids=lids.get(household.pk, {}),
            promised={
                kind: promised[household.pk, kind]
                for kind in KINDS
                if promised[household.pk, kind] > 0
            },
        )
        for household in households.order_by("name", "id")
    }


def _in_order(flow: Flow) -> tuple[datetime, int]:
    """By time; at one moment jars become empty before they are filled."""
    return flow.at, -flow.empty


def _told_since(coop: Coop, counts: Mapping[int, Count]) -> Iterator[Flow]:
    """What other apps tell of, as far as it came after the newest count of its household."""
    for flow in (flow for tell in hooks.flows for flow in tell(coop)):
        count = counts.get(flow.household_id)
        if count is None or flow.at >= count.at:
            yield flow


def _held(
    counted: Mapping[tuple[int, str], Held], flows: Iterable[Flow]
) -> dict[tuple[int, str], Held]:
    """Full and empty jars after all flows: every kind that was counted, or of which there are."""
    held = dict(counted)
    for flow in flows:
        key = flow.household_id, flow.kind
        was = held.get(key, Held())
        full, empty = max(0, was.full + flow.full), max(0, was.empty + flow.empty)
        held[key] = replace(was, full=full, empty=empty)
    return {key: each for key, each in held.items() if key in counted or each.full or each.empty}


def _lids(
    counted: dict[int, dict[str, HeldLids]], flows: Iterable[Flow]
) -> dict[int, dict[str, HeldLids]]:
    """New lids after all flows, of the mouths that were counted."""
    for flow in flows:
        of_household, mouth = counted.get(flow.household_id, {}), size_and_mouth(flow.kind)[1].value
        if flow.lids and mouth in of_household:
            was = of_household[mouth]
            of_household[mouth] = replace(was, lids=max(0, was.lids + flow.lids))
    return counted


def _counted_jars(households: QuerySet[Household]) -> dict[tuple[int, str], Held]:
    rows = CountedJars.objects.filter(count__in=newest_counts(households)).values_list(
        "count__household", "kind", "full", "empty", "spare"
    )
    return {(household, kind): Held(*numbers) for household, kind, *numbers in rows}


def _counted_lids(households: QuerySet[Household]) -> dict[int, dict[str, HeldLids]]:
    rows = CountedLids.objects.filter(count__in=newest_counts(households)).values_list(
        "count__household", "mouth", "lids", "bands"
    )
    found = {(household, mouth): HeldLids(*numbers) for household, mouth, *numbers in rows}
    return {
        household: {
            mouth: found[household, mouth] for mouth in Mouth if (household, mouth) in found
        }
        for household in {household for household, _ in found}
    }


def _moved_since(
    households: QuerySet[Household], side: str, gains: Mapping[str, int]
) -> list[Flow]:
    """What moves have done to each household on one side of its loans since its newest count.

    A move at the very moment of a count comes after it.
    """
    newest = Count.objects.filter(household=OuterRef(f"loan__{side}")).values("at")[:1]
    moves = (
        JarMove.objects.filter(**{f"loan__{side}__in": households}, what__in=list(gains))
        .annotate(counted_at=Subquery(newest))
        .filter(Q(counted_at__isnull=True) | Q(at__gte=F("counted_at")))
        .order_by("id")
        .values_list(f"loan__{side}", "kind", "what", "count", "at")
    )
    return [
        Flow(household, kind, at, empty=gains[what] * count)
        for household, kind, what, count, at in moves
    ]


def _promised(households: QuerySet[Household]) -> Jars:
    """Jars of agreed loans that are still at the lender's: whenever agreed, they are not free.

    A loan whose jars have begun to come back promises no more of that kind.
    """
    moves = JarMove.objects.filter(loan=OuterRef("loan"), kind=OuterRef("kind")).order_by()
    handed = moves.filter(what=What.HANDED_OVER).values("loan").annotate(jars=Sum("count"))
    closed = moves.exclude(what=What.HANDED_OVER).values("loan")[:1]
    lines = (
        LoanLine.objects.filter(
            loan__lender__in=households, loan__agreed_at__isnull=False, loan__ended_at__isnull=True
        )
        .annotate(handed=Subquery(handed.values("jars")), closed=Subquery(closed))
        .filter(closed__isnull=True)
        .order_by()
        .values_list("loan__lender", "kind", "count", "handed")
    )
    promised: Jars = Counter()
    for household, kind, count, already in lines:
        promised[household, kind] += count - (already or 0)
    return promised
