"""Tracing in both directions: from a delivery to every jar, and from a jar to its delivery."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from coop.buying.models import Share, SpareClaim, Supply
from coop.core.figures import quantity
from coop.core.preserving import produce_named
from coop.kitchen.models import Fate, Load, Lot, Taken
from coop.kitchen.queries.dangers import Danger, came_of, dangers_of
from coop.kitchen.queries.lots import code_of_lot, jars_said, lots_of, shelf_of, with_shelf
from coop.people.models import Coop, Household, Member

#: What became of unsealed jars, where there is little room.
FATES = {
    Fate.What.REPROCESSED: "processed again",
    Fate.What.FRIDGE: "fridge",
    Fate.What.FREEZER: "freezer",
    Fate.What.THROWN_OUT: "thrown out",
}


@dataclass(frozen=True)
class Whereabouts:
    """Where the jars of one lot are now; `tie`: how sure it is that they are of the delivery.

    `fates`: what became of how many that did not seal; of `fateless` nobody has said it yet.
    """

    lot: Lot
    sealed: int | None
    on_shelf: int
    used: int
    thrown_out: int
    given: Sequence[tuple[Household, int]] = ()
    dangers: Sequence[Danger] = ()
    tie: str = ""
    fates: Sequence[tuple[str, int]] = ()
    fateless: int = 0

    @property
    def gone(self) -> list[str]:
        """What left the shelf or never stood there, one entry each: "2 used"."""
        left = (" (has left)" if household.left_at else "" for household, _ in self.given)
        said = [
            f"{count} given to {household}{has_left}"
            for (household, count), has_left in zip(self.given, left, strict=True)
        ]
        shelf = ((self.used, "used"), (self.thrown_out, "thrown out"))
        said += [f"{count} {what}" for count, what in shelf if count]
        said += [f"{count} unsealed: {what}" for what, count in self.fates]
        return said + ([f"{self.fateless} unsealed, nothing said yet"] if self.fateless else [])

    @property
    def code(self) -> str:
        """Its lot code, without spaces."""
        return code_of_lot(self.lot)


@dataclass(frozen=True)
class Delivery:
    """What one farm delivered to one line. `others` are the farms that brought the same produce."""

    supply: Supply
    others: Sequence[Supply] = ()

    @property
    def came(self) -> str:
        """What was tallied, or that nobody has."""
        tally = getattr(self.supply, "tally", None)
        if tally is None:
            return "not counted yet"
        amount = sum(each.gross - each.tare for each in tally.weighings.all()) - tally.refused
        return quantity(amount, self.supply.line.measure)


@dataclass(frozen=True)
class Got:
    """What one household got of a delivered line, and the lots that it made of it."""

    household: Household
    amount: int
    lots: list[Whereabouts] = field(default_factory=list)


@dataclass(frozen=True)
class TracedLot:
    """A lot with everything that it hangs together with."""

    here: Whereabouts
    deliveries: list[Delivery]
    same_load: list[Whereabouts]
    same_delivery: list[Whereabouts]
    made_of: list[Lot]
    made_into: list[Lot]

    @property
    def is_one_of(self) -> bool:
        """Whether several farms brought the produce, and nobody wrote down which it was."""
        return len(self.deliveries) > 1


def supplies_of_coop(coop: Coop) -> QuerySet[Supply]:
    """Deliveries that came, newest first, with `lots_named`: how many lots have a share of it."""
    return (
        Supply.objects.filter(tally__containers__gt=0, line__buy__coop=coop)
        .select_related("farm", "line__buy__coop", "tally")
        .prefetch_related("tally__weighings")
        .annotate(lots_named=Count("line__divisions__shares__lots", distinct=True))
        .order_by("-line__buy__pickup_from", "-pk")
    )


def supply_for(member: Member, supply_id: int) -> Supply:
    """A delivery to trace. Absent and another co-op's are the same 404."""
    supply = (
        Supply.objects.filter(pk=supply_id, line__buy__coop=member.coop)
        .select_related("farm", "line__buy__coop", "tally")
        .prefetch_related("tally__weighings")
        .first()
    )
    if supply is None:
        raise Http404
    return supply


def lots_to_trace(coop: Coop) -> QuerySet[Lot]:
    """Lots with their sums and all that tracing reads of them."""
    return with_shelf(lots_of(coop)).select_related(
        "load__kitchen", "load__watcher", "share__division__line__buy"
    )


def trace_of_lot(lot: Lot) -> TracedLot:
    """Backwards, sideways and forwards from a lot; a fixed number of queries."""
    coop, line_id = lot.coop, lot.share.division.line_id if lot.share else None
    lots = lots_to_trace(coop)
    same_load = list(lots.filter(load=lot.load).order_by("number")) if lot.load else [lot]
    same_line = list(lots.filter(share__division__line=line_id)) if line_id else []
    found = where({each.pk: each for each in [lot, *same_load, *same_line]}.values(), coop)
    fates = list(Fate.objects.filter(Q(lot=lot) | Q(new_lot=lot)).select_related("lot", "new_lot"))
    farms = {lot.farm_id, None}
    others = [each for each in same_line if each.farm_id in farms or lot.farm_id is None]
    return TracedLot(
        here=found[lot.pk],
        deliveries=_deliveries_of(lot),
        same_load=[found[each.pk] for each in same_load if each.pk != lot.pk],
        same_delivery=[found[each.pk] for each in others if each.pk != lot.pk],
        made_of=[fate.lot for fate in fates if fate.new_lot_id == lot.pk],
        made_into=[fate.new_lot for fate in fates if fate.lot_id == lot.pk and fate.new_lot],
    )


def _deliveries_of(lot: Lot) -> list[Delivery]:
    """The deliveries that a lot's share was of: one, or where several farms came all of them."""
    if lot.share is None:
        return []
    came = supplies_of_coop(lot.coop).filter(line=lot.share.division.line_id).order_by("pk")
    ours = [each for each in came if lot.farm_id in {None, each.farm_id}]
    return [Delivery(each) for each in ours]


def lots_of_supply(supply: Supply) -> list[tuple[Lot, str]]:
    """Every lot of a delivery, with how sure that is: "surely", "one of", "perhaps".

    "again": it was made of unsealed jars of one of the others.
    """
    coop, produce = supply.line.buy.coop, produce_named(supply.line.produce)
    several = len({each.farm_id for each in _on_the_line(supply)} | {supply.farm_id}) > 1
    lots = lots_to_trace(coop).filter(
        Q(share__division__line=supply.line)
        | Q(share__isnull=True, farm=supply.farm_id, produce=produce or "")
    )
    tied = [
        (lot, came_of(supply, lot, is_one_of_several=several))
        for lot in lots.order_by("household__name", "number")
    ]
    tied = [(lot, tie) for lot, tie in tied if tie]
    again = _made_of({lot.pk for lot, _ in tied}, coop)
    return [*tied, *((lot, "again") for lot in again)]


def _made_of(ids: set[int], coop: Coop) -> list[Lot]:
    """Lots that came of unsealed jars of these, and are none of them."""
    wanted = descendants(ids, coop) - ids
    return list(lots_to_trace(coop).filter(pk__in=wanted)) if wanted else []


def trace_of_supply(supply: Supply) -> tuple[Delivery, list[Got]]:
    """Forwards from a delivery: who got of it, their lots, and where the jars are now."""
    others = [each for each in _on_the_line(supply) if each.farm_id != supply.farm_id]
    tied = lots_of_supply(supply)
    ties = {lot.pk: tie for lot, tie in tied}
    lots: defaultdict[int, list[Whereabouts]] = defaultdict(list)
    for place in where([lot for lot, _ in tied], supply.line.buy.coop, ties).values():
        lots[place.lot.household_id].append(place)
    amounts = _amounts_of(supply)
    households = Household.objects.filter(pk__in={*lots, *amounts})
    return Delivery(supply, others), [
        Got(each, amounts.get(each.pk, 0), lots[each.pk]) for each in households
    ]


def _on_the_line(supply: Supply) -> list[Supply]:
    """What came of the line, of every farm."""
    came = Supply.objects.filter(tally__containers__gt=0, line=supply.line_id)
    return list(came.select_related("farm"))


def _amounts_of(supply: Supply) -> dict[int, int]:
    """What each household got of the line: its share, and claims from the spare table."""
    amounts: defaultdict[int, int] = defaultdict(int)
    standing = {"division__line": supply.line_id, "division__withdrawn_at__isnull": True}
    for pk, amount in Share.objects.filter(**standing).values_list("household", "amount"):
        amounts[pk] += amount
    claims = SpareClaim.objects.filter(
        spare__division__line=supply.line_id, spare__division__withdrawn_at__isnull=True
    )
    for pk, amount, owner in claims.values_list("household", "amount", "spare__share__household"):
        amounts[pk] += amount
        if owner is not None:
            amounts[owner] -= amount
    return {pk: amount for pk, amount in amounts.items() if amount}


def where(
    lots: Iterable[Lot], coop: Coop, ties: dict[int, str] | None = None
) -> dict[int, Whereabouts]:
    """Where the jars of lots with their sums are, by lot: seven queries, however many lots."""
    lots = list(lots)
    dangers = dangers_of(coop, lots)
    taken: defaultdict[int, list[Taken]] = defaultdict(list)
    rows = Taken.objects.filter(lot__in=lots, undone_at__isnull=True)
    for each in rows.select_related("given_to").order_by("at", "pk"):
        taken[each.lot_id].append(each)
    fates: defaultdict[int, list[tuple[str, int]]] = defaultdict(list)
    for fate in Fate.objects.filter(lot__in=lots).order_by("at", "pk"):
        fates[fate.lot_id].append((FATES[Fate.What(fate.what)], fate.count))
    return {
        lot.pk: Whereabouts(
            lot=lot,
            sealed=vars(lot)["sealed"],
            on_shelf=vars(lot)["on_shelf"],
            used=_sum(taken[lot.pk], Taken.What.USED),
            thrown_out=_sum(taken[lot.pk], Taken.What.THROWN_OUT),
            given=_given(taken[lot.pk]),
            dangers=dangers.get(lot.pk, ()),
            tie=(ties or {}).get(lot.pk, ""),
            fates=fates[lot.pk],
            fateless=max(shelf_of(lot).fateless, 0),
        )
        for lot in lots
    }


def _sum(taken: list[Taken], what: str) -> int:
    return sum(each.count for each in taken if each.what == what)


def _given(taken: list[Taken]) -> list[tuple[Household, int]]:
    given: dict[Household, int] = {}
    for each in taken:
        if each.given_to:
            given[each.given_to] = given.get(each.given_to, 0) + each.count
    return list(given.items())


def lots_concerned(about: Lot | Load | Supply) -> list[Lot]:
    """The lots that a warning about a lot, a load or a delivery is about, and what came of them."""
    if isinstance(about, Supply):
        first, coop = [lot for lot, _ in lots_of_supply(about)], about.line.buy.coop
    elif isinstance(about, Load):
        first, coop = list(lots_to_trace(about.coop).filter(load=about)), about.coop
    else:
        first, coop = list(lots_to_trace(about.coop).filter(pk=about.pk)), about.coop
    return first + _made_of({lot.pk for lot in first}, coop)


def descendants(ids: set[int], coop: Coop) -> set[int]:
    """These lots, and all that was made of their unsealed jars."""
    pairs = list(
        Fate.objects.filter(lot__coop=coop, new_lot__isnull=False).values_list("lot", "new_lot")
    )
    found, grown = set(ids), True
    while grown:
        more = {int(new or 0) for old, new in pairs if old in found} - found
        found, grown = found | more, bool(more)
    return found


def jars_of(place: Whereabouts) -> str:
    """How many jars a lot came to: "7 quarts"."""
    lot = place.lot
    sealed = place.sealed
    counts = (count for count in (sealed, lot.counted_out) if count is not None)
    return jars_said(lot, next(counts, lot.counted_in))
