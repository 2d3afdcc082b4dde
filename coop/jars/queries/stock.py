"""What households have now: the newest count, and the loans since. Nothing of it is stored."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from coop.jars.kinds import KINDS, Mouth
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
    return _stocks(Household.objects.filter(pk=household.pk))[household.pk]


def stocks_in(coop: Coop) -> dict[int, Stock]:
    """What every household of the co-op has now, by the household's id, in order of names.

    Seven queries, whatever the number of households, jars and loans.
    """
    return _stocks(coop.households.filter(left_at__isnull=True))


def age_of(stock: Stock, now: datetime) -> Age:
    """How old the newest count is; VERY_OLD where there is none."""
    if stock.counted_at is None or now - stock.counted_at > VERY_OLD_AFTER:
        return Age.VERY_OLD
    return Age.OLD if now - stock.counted_at > OLD_AFTER else Age.FRESH


def newest_counts(households: QuerySet[Household]) -> QuerySet[Count]:
    """The newest count of each household that has one."""
    newest = Count.objects.filter(household=OuterRef("household")).values("pk")[:1]
    return Count.objects.filter(household__in=households, pk=Subquery(newest))


def _stocks(households: QuerySet[Household]) -> dict[int, Stock]:
    counts = {count.household_id: count for count in newest_counts(households).select_related("by")}
    lent = _moved_since(households, "lender", LENDER_GAINS)
    borrowed = _moved_since(households, "borrower", BORROWER_GAINS)
    promised = _promised(households)
    counted, lids = _counted_jars(households), _counted_lids(households)
    return {
        household.pk: Stock(
            household,
            counted_at=counts[household.pk].at if household.pk in counts else None,
            by=counts[household.pk].by if household.pk in counts else None,
            kinds=_kinds(household.pk, counted, lent=lent, borrowed=borrowed, promised=promised),
            lids=lids.get(household.pk, {}),
            promised={
                kind: promised[household.pk, kind]
                for kind in KINDS
                if promised[household.pk, kind] > 0
            },
        )
        for household in households.order_by("name", "id")
    }


def _kinds(
    household_id: int,
    counted: Mapping[tuple[int, str], Held],
    *,
    lent: Jars,
    borrowed: Jars,
    promised: Jars,
) -> dict[str, Held]:
    kinds = {}
    for kind in KINDS:
        key = (household_id, kind)
        if key in counted or borrowed[key] > 0 or lent[key] > 0:
            was = counted.get(key, Held())
            empty = max(0, was.empty + lent[key] + borrowed[key])
            spare = max(0, was.spare + lent[key] - promised[key])
            kinds[kind] = Held(was.full, empty, min(spare, empty))
    return kinds


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


def _moved_since(households: QuerySet[Household], side: str, gains: Mapping[str, int]) -> Jars:
    """What moves have added to each household on one side of its loans since its newest count.

    A move at the very moment of a count comes after it.
    """
    newest = Count.objects.filter(household=OuterRef(f"loan__{side}")).values("at")[:1]
    moves = (
        JarMove.objects.filter(**{f"loan__{side}__in": households}, what__in=list(gains))
        .annotate(counted_at=Subquery(newest))
        .filter(Q(counted_at__isnull=True) | Q(at__gte=F("counted_at")))
        .order_by()
        .values_list(f"loan__{side}", "kind", "what")
        .annotate(jars=Sum("count"))
    )
    moved: Jars = Counter()
    for household, kind, what, jars in moves:
        moved[household, kind] += gains[what] * jars
    return moved


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
