"""Loads for lists and forms: which there are, which canners are in use, what can be in the jars."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch, Q, QuerySet

from coop.core.figures import counted
from coop.core.preserving import (
    NoTestedProcess,
    Process,
    find_process,
    form_words,
    jar_words,
    pack_words,
    processes_at,
    produce_in_sentence,
    produce_words,
    product_words,
)
from coop.core.preserving.as_run import UNTESTED, Filled
from coop.core.tables import JARS, drying_rows, freezing_rows
from coop.kitchen.models import Fate, Load, Lot, Use, Way
from coop.kitchen.queries.lots import loads_of, lots_of, product_said, with_shelf
from coop.people.models import Coop, Household, Member


@dataclass(frozen=True)
class Sieve:
    """What a list of loads and lots is narrowed to; None takes all. `product` is (produce, it)."""

    household_id: int | None = None
    product: tuple[str, str] | None = None

    @property
    def is_open(self) -> bool:
        """Whether everything passes."""
        return self.household_id is None and self.product is None

    def of_lots(self, prefix: str = "") -> Q:
        """The condition on lots; `prefix` leads to them."""
        narrowed = Q()
        if self.household_id is not None:
            narrowed &= Q(**{f"{prefix}household": self.household_id})
        if self.product is not None:
            produce, product = self.product
            narrowed &= Q(**{f"{prefix}produce": produce, f"{prefix}product": product})
        return narrowed


@dataclass(frozen=True)
class RowStart:
    """What a line of the form of a load starts with."""

    household: Household | None = None
    filled: Filled | None = None
    mouth: str = ""
    count: int | None = None
    use: Use | None = None


def loads_listed(coop: Coop, sieve: Sieve) -> QuerySet[Load]:
    """Loads newest first, each with its lots as `shown`, narrowed like the loads. Two queries."""
    lots = with_shelf(lots_of(coop)).filter(sieve.of_lots()).order_by("household__name", "number")
    loads = loads_of(coop).prefetch_related(Prefetch("lots", lots, to_attr="shown"))
    if not sieve.is_open:
        loads = loads.filter(pk__in=Lot.objects.filter(sieve.of_lots()).values("load"))
    return loads


def kept_listed(coop: Coop, sieve: Sieve) -> QuerySet[Lot]:
    """Lots that were frozen or dried, newest first."""
    return with_shelf(lots_of(coop)).exclude(way=Way.CAN).filter(sieve.of_lots())


def products_in(coop: Coop) -> list[tuple[str, str]]:
    """Each product that the co-op has a lot of: the value of a choice, and its words."""
    rows = lots_of(coop).order_by("produce", "product").values_list("produce", "product", "way")
    lots = [
        Lot(produce=produce, product=product, way=way) for produce, product, way in rows.distinct()
    ]
    said = {f"{lot.produce}|{lot.product}": product_said(lot) for lot in lots}
    return sorted(said.items(), key=lambda pair: pair[1])


def members_now(coop: Coop) -> QuerySet[Member]:
    """Who may have watched: the members that have not left."""
    return Member.objects.filter(coop=coop, left_at__isnull=True).select_related("household")


def start_of_use(use: Use) -> RowStart:
    """A line that starts from a use: whose, what, in what; the jars are counted by hand."""
    filled = Filled(use.food, use.product, use.pack, use.jar, use.option)
    return RowStart(use.plan.household, filled, use.mouth, None, use)


def start_again(lot: Lot) -> RowStart:
    """A line for the jars of a lot that are processed again and have no new lot yet."""
    counts = Fate.objects.filter(lot=lot, what=Fate.What.REPROCESSED, new_lot__isnull=True)
    count = sum(counts.values_list("count", flat=True)) or None
    filled = Filled(lot.produce, lot.product, lot.pack, lot.jar, lot.option)
    return RowStart(lot.household, filled, lot.mouth, count, lot.use)


def published(filled: Filled, method: str, altitude_ft: int) -> Process | None:
    """The tested process for what is in the jars, or None."""
    key = (filled.produce, filled.product, filled.pack, method, filled.jar)
    try:
        return find_process(*key, altitude_ft, filled.option)
    except NoTestedProcess:
        return None


def key_of(filled: Filled) -> str:
    """The value of a choice."""
    parts = (filled.produce, filled.product, filled.pack, filled.jar, str(filled.option))
    return "|".join(parts)


def filled_of_key(key: str, what: str) -> Filled:
    """What a choice stands for; `what` names a thing that the tables do not have."""
    produce, product, pack, jar, option = key.split("|")
    return Filled(produce or what, product, pack, jar, int(option))


def canned_choices(
    method: str, altitude_ft: int, extra: list[Filled]
) -> list[tuple[str, list[tuple[str, str]]]]:
    """Every published process of a method at an altitude, by produce; then `extra` and the rest.

    The rest are jars of something that no table has; their keys have no produce.
    """
    groups: dict[str, dict[str, str]] = {}
    for process in processes_at(altitude_ft):
        if process.method == method:
            filled = Filled(
                process.produce, process.product, process.pack, process.jar, process.option
            )
            said = _filled_said(filled) + f", {figures_said(process.minutes, process.psi)}"
            groups.setdefault(produce_words(process.produce), {})[key_of(filled)] = said
    known = {key for group in groups.values() for key in group}
    others = {
        key_of(filled): f"{_filled_said(filled)}, no tested process here"
        for filled in extra
        if key_of(filled) not in known
    }
    rest = {}
    for jar in JARS:
        other = key_of(Filled("", UNTESTED, "hot", jar))
        rest[other] = f"{jar_words(jar, 2).capitalize()}: something else"
    choices = [(title, list(group.items())) for title, group in sorted(groups.items())]
    return [*choices, ("Not in the tables", list((others | rest).items()))]


def kept_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every form that the tables freeze or dry, by produce."""
    rows = [(Way.FREEZE, row.produce, row.form) for row in freezing_rows()]
    rows += [(Way.DRY, row.produce, row.form) for row in drying_rows()]
    groups: dict[str, dict[str, str]] = {}
    for way, produce, form in rows:
        said = f"{str(way.label).capitalize()}: {produce_in_sentence(produce)}, {form_words(form)}"
        groups.setdefault(produce_words(produce), {})[f"{way}|{produce}|{form}"] = said
    return [(title, list(group.items())) for title, group in sorted(groups.items())]


def figures_said(minutes: int, psi: int | None) -> str:
    """Minutes, and pressure where there is any: "85 minutes at 13 psi"."""
    return counted(minutes, "minute") + (f" at {psi} psi" if psi else "")


def _filled_said(filled: Filled) -> str:
    """The jar first: a phone shows the beginning of a choice alone."""
    option = f", option {filled.option}" if filled.option != 1 else ""
    return (
        f"{jar_words(filled.jar, 2).capitalize()}: {produce_in_sentence(filled.produce)}, "
        f"{product_words(filled.product)}, {pack_words(filled.pack)}{option}"
    )
