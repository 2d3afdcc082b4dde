"""Which jars are not to be eaten: of a suspect load, or with a warning."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from coop.buying.models import Supply
from coop.core.preserving import produce_named
from coop.kitchen.models import Fate, JarWarning, Load, Lot
from coop.people.models import Coop

#: Produce is put up within so many days of its delivery. Common practice, no source.
PUT_UP_WITHIN_DAYS = 30


@dataclass(frozen=True)
class Danger:
    """Why jars are not good: the warning, or without one the load that is suspect."""

    why: str
    warning: JarWarning | None = None
    load: Load | None = None


def dangers_of(coop: Coop, lots: Iterable[Lot]) -> dict[int, list[Danger]]:
    """What speaks against each of the lots, by its id: four queries, however many lots.

    What jars were processed again into is as suspect as they are.
    """
    lots = list(lots)
    parents = parents_in(coop)
    wanted = {lot.pk for lot in lots} | {
        parent for lot in lots for parent in ancestors(lot.pk, parents)
    }
    facts = {lot.pk: lot for lot in _lots_with_origin(coop, wanted)}
    warnings = list(JarWarning.objects.filter(coop=coop).select_related("supply__line__buy", "by"))
    own = {pk: _own(lot, warnings) for pk, lot in facts.items()}
    found: dict[int, list[Danger]] = {}
    for lot in lots:
        line = [lot.pk, *ancestors(lot.pk, parents)]
        dangers = [danger for pk in line for danger in own.get(pk, [])]
        if dangers:
            found[lot.pk] = _each_once(dangers)
    return found


def _each_once(dangers: Iterable[Danger]) -> list[Danger]:
    """No sentence twice: a load that was called suspect with its warning says what that says.

    Of the two the warning stays, which says what to do.
    """
    kept: list[Danger] = []
    for danger in sorted(dangers, key=lambda danger: danger.warning is None):
        # A load has room for the beginning of a long warning alone.
        room = len(danger.why) if danger.load else None
        if not any(each.why[:room] == danger.why for each in kept):
            kept.append(danger)
    return kept


def parents_in(coop: Coop) -> dict[int, set[int]]:
    """Lots that were made of unsealed jars of others: id to the ids that they came of."""
    pairs = Fate.objects.filter(lot__coop=coop, new_lot__isnull=False)
    parents: defaultdict[int, set[int]] = defaultdict(set)
    for lot_id, new_lot_id in pairs.values_list("lot_id", "new_lot_id"):
        parents[int(new_lot_id or 0)].add(lot_id)
    return dict(parents)


def ancestors(lot_id: int, parents: dict[int, set[int]]) -> set[int]:
    """All that a lot came of, however far back."""
    found: set[int] = set()
    waiting = set(parents.get(lot_id, ()))
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting |= parents.get(one, set())
    return found - {lot_id}


def came_of(supply: Supply, lot: Lot, *, is_one_of_several: bool) -> str:
    """Whether a lot is of what a farm delivered: "surely", "one of", "perhaps", or "" for no.

    "one of": its share is of a line that several farms supplied, and nobody wrote down which.
    "perhaps": it names no share, but the farm and the produce, and was put up in the weeks after.
    The lot comes with `share__division`, the supply with `line__buy`.
    """
    share = lot.share
    if lot.farm_id not in {None, supply.farm_id}:
        return ""
    if share is not None:
        if share.division.line_id != supply.line_id:
            return ""
        return "one of" if is_one_of_several and not lot.farm_id else "surely"
    if lot.farm_id is None or lot.produce != produce_named(supply.line.produce):
        return ""
    days = (lot.made_on - supply.line.buy.pickup_from.date()).days
    return "perhaps" if -1 <= days <= PUT_UP_WITHIN_DAYS else ""


def _lots_with_origin(coop: Coop, ids: set[int]) -> Iterable[Lot]:
    return Lot.objects.filter(coop=coop, pk__in=ids).select_related("load", "share__division")


def _own(lot: Lot, warnings: list[JarWarning]) -> list[Danger]:
    dangers = [Danger(each.sentence, warning=each) for each in warnings if _is_about(each, lot)]
    if lot.load and lot.load.suspect_at:
        dangers.append(Danger(lot.load.suspect_why, load=lot.load))
    return dangers


def _is_about(warning: JarWarning, lot: Lot) -> bool:
    if warning.lot_id:
        return warning.lot_id == lot.pk
    if warning.load_id:
        return warning.load_id == lot.load_id
    return bool(warning.supply and came_of(warning.supply, lot, is_one_of_several=True))
