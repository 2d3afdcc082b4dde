"""Lots and loads: fetched for somebody, with what stands on the shelf, and said in words."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Case, F, IntegerField, OuterRef, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce
from django.http import Http404

from coop.core.figures import counted
from coop.core.lot_codes import code_of, spoken
from coop.core.preserving import form_words, jar_words, produce_words, product_words
from coop.jars.kinds import Mouth
from coop.kitchen.models import Fate, Load, Lot, Taken, Way
from coop.people.models import Coop, Member

#: What one lot holds, by how it is kept.
PACKET, CONTAINER = "packet", "container"


@dataclass(frozen=True)
class Shelf:
    """What became of the jars of one lot; sums, never stored.

    sealed: None until the seals were tried, and always for what is frozen or dried.
    unsealed: that did not seal (0 until tried); `fated` of them are known to have gone somewhere.
    taken: left the shelf. on_shelf: stand there now.
    """

    sealed: int | None
    taken: int
    on_shelf: int
    unsealed: int
    fated: int

    @property
    def fateless(self) -> int:
        """Unsealed, and nobody has said what became of them."""
        return self.unsealed - self.fated


def lots_of(coop: Coop) -> QuerySet[Lot]:
    """All lots of a co-op, newest first, each with its household and load."""
    return Lot.objects.filter(coop=coop).select_related("household", "load", "farm", "use__plan")


def with_shelf(lots: QuerySet[Lot]) -> QuerySet[Lot]:
    """Annotate `sealed`, `taken_count`, `on_shelf`, `unsealed` and `fated`; see `Shelf`.

    `taken_count`, because `taken` are the rows themselves.
    """
    taken = Taken.objects.filter(lot=OuterRef("pk"), undone_at__isnull=True)
    fates = Fate.objects.filter(lot=OuterRef("pk"))
    zero = Value(0)
    return lots.annotate(
        sealed=F("seal_check__sealed"),
        taken_count=Coalesce(_sum(taken), zero),
        fated=Coalesce(_sum(fates), zero),
        unsealed=Coalesce(F("counted_out") - F("seal_check__sealed"), zero),
    ).annotate(
        on_shelf=Case(
            When(way=Way.CAN, then=Coalesce(F("sealed"), zero)),
            default=Coalesce(F("counted_out"), F("counted_in")),
            output_field=IntegerField(),
        )
        - F("taken_count")
    )


def _sum(rows: QuerySet[Taken] | QuerySet[Fate]) -> Subquery:
    """The sum of `count` over rows of one lot."""
    sums = rows.order_by().values("lot").annotate(sum=Sum("count")).values("sum")
    return Subquery(sums, output_field=IntegerField())


def shelf_of(lot: Lot) -> Shelf:
    """The sums of a lot that came through `with_shelf`."""
    told = vars(lot)
    return Shelf(
        sealed=told["sealed"],
        taken=told["taken_count"],
        on_shelf=told["on_shelf"],
        unsealed=told["unsealed"],
        fated=told["fated"],
    )


def lot_for(member: Member, lot_id: int) -> Lot:
    """A lot to read, with its sums. Absent and another co-op's are the same 404."""
    return _one(member, pk=lot_id)


def lot_numbered(member: Member, number: int) -> Lot:
    """The lot of the member's co-op with this number, or 404."""
    return _one(member, number=number)


def _one(member: Member, **which: int) -> Lot:
    lots = with_shelf(lots_of(member.coop)).select_related(
        "coop",
        "by",
        "load__coop",
        "load__kitchen",
        "load__watcher",
        "load__by",
        "seal_check__by",
        "share__division__line__buy",
        "use__plan",
    )
    lot = lots.filter(**which).first()
    if lot is None:
        raise Http404("There is no such lot in this co-op.")
    return lot


def loads_of(coop: Coop) -> QuerySet[Load]:
    """All loads of a co-op, newest first."""
    return Load.objects.filter(coop=coop).select_related("kitchen", "thing", "watcher", "by")


def load_for(member: Member, load_id: int) -> Load:
    """A load to read. Absent and another co-op's are the same 404."""
    load = loads_of(member.coop).select_related("coop").filter(pk=load_id).first()
    if load is None:
        raise Http404
    return load


def lots_in_load(load: Load) -> QuerySet[Lot]:
    """The lots of a load with their sums, household by household."""
    return with_shelf(lots_of(load.coop).filter(load=load)).order_by("household__name", "number")


def code_of_lot(lot: Lot) -> str:
    """The code on the label: its number and the check digit."""
    return code_of(lot.number)


def spoken_code(lot: Lot) -> str:
    """The code in groups, for reading it out."""
    return spoken(code_of_lot(lot))


def product_said(lot: Lot) -> str:
    """What is in it: "Sweet corn, whole kernel"; "Sweet corn, kernels, frozen"."""
    # A jam stands under any fruit in the tables; its plan knows of which fruit it is.
    food = lot.use.plan.produce if lot.use and lot.use.food == lot.produce else lot.produce
    if lot.way == Way.CAN:
        return f"{produce_words(food)}, {product_words(lot.product)}"
    return f"{produce_words(food)}, {form_words(lot.product)}, {lot.get_way_display()}"


def jars_said(lot: Lot, count: int) -> str:
    """So many of what the lot consists of: "7 quarts", "5 pint containers", "3 packets"."""
    if lot.way == Way.DRY:
        return counted(count, PACKET)
    if lot.way == Way.FREEZE:
        return counted(count, f"{jar_words(lot.jar)} {CONTAINER}")
    return counted(count, jar_words(lot.jar))


def jar_said(lot: Lot) -> str:
    """The jar with its mouth: "quart jars, wide mouth"; what holds it where it is no jar."""
    if lot.way == Way.DRY:
        return "packets"
    if lot.way == Way.FREEZE:
        return f"{jar_words(lot.jar)} freezer containers"
    return f"{jar_words(lot.jar)} jars, {Mouth(lot.mouth).label}"


def lock_lot(member: Member, lot_id: int) -> Lot:
    """A lot to change, inside a transaction, with its sums: its row is locked.

    Whatever changes how many jars stand on the shelf takes this lock: counting out, seals, fates.
    """
    known = Lot.objects.select_for_update(of=("self",)).filter(coop=member.coop, pk=lot_id).first()
    if known is None:
        raise Http404
    return lot_for(member, lot_id)
