"""What is still to be canned, and the jars that each household lacks for it or can spare."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from django.db.models import QuerySet, Sum

from coop.buying.models import Buy
from coop.jars.kinds import KINDS, Mouth, size_and_mouth
from coop.jars.queries.stock import Held, HeldLids, Stock
from coop.kitchen.models import Lot, Plan, Way
from coop.kitchen.queries.altitude import altitude_of
from coop.kitchen.queries.figures import UseFigures, figures_of
from coop.kitchen.queries.plans import open_plans
from coop.kitchen.queries.plates import outcome_of
from coop.people.models import Coop, Household

#: Jars by household (its id) and kind.
ByHousehold = Mapping[int, Counter[str]]
NONE: Counter[str] = Counter()


@dataclass(frozen=True)
class Need:
    """Jars of one kind for what a household has planned, against what it has itself.

    `wanted` are for its plans, `own` are empty in its house and promised to nobody, `coming` are
    agreed loans that it has not fetched yet.
    """

    household: Household
    kind: str
    wanted: int
    own: int
    coming: int = 0

    @property
    def said(self) -> str:
        """The kind in words."""
        return KINDS[self.kind]

    @property
    def has(self) -> int:
        """Jars that it can count on."""
        return self.own + self.coming

    @property
    def lacking(self) -> int:
        """Jars that it must find elsewhere."""
        return max(0, self.wanted - self.has)


@dataclass(frozen=True)
class LidsLacking:
    """New lids and bands of one mouth that all households together are short of."""

    mouth: str
    lids: int
    bands: int

    @property
    def said(self) -> str:
        """The mouth in words."""
        return str(Mouth(self.mouth).label)


def plans_to_can(coop: Coop, buy: Buy | None = None) -> QuerySet[Plan]:
    """The open plans of the households that are still in the co-op; of one buy, if it is given."""
    plans = open_plans(coop).filter(household__left_at__isnull=True)
    if buy is not None:
        plans = plans.filter(share__division__line__buy=buy)
    return plans.order_by("household__name", "household_id", "id")


def to_can(
    plans: Iterable[Plan], only: Collection[tuple[str, str]] | None = None
) -> list[UseFigures]:
    """The figures of every canned use that nothing was put up of yet and that gives some jars.

    What has no tested process is left out. With `only`, uses of these pairs of method and jar.
    """
    found = []
    for plan in plans:
        for use in plan.uses.all():
            if use.way != Way.CAN or outcome_of(use):
                continue
            if only is None or (use.method, use.jar) in only:
                use.plan = plan  # known already, so that nobody asks the database for it
                found.append(figures_of(use, altitude_of(plan)))
    return [each for each in found if each.batch and each.jars_likely]


def is_of(figures: UseFigures, buy: Buy) -> bool:
    """Whether the produce of a use came from a buy."""
    share = figures.use.plan.share
    return share is not None and share.division.line.buy_id == buy.pk


def is_planned(buy: Buy) -> bool:
    """Whether anybody has planned something of a buy."""
    planned = Plan.objects.filter(share__division__line__buy=buy, dropped_at__isnull=True)
    return planned.exists()


def put_in(uses: Iterable[UseFigures]) -> Counter[int]:
    """Jars that went into a canner already, by the id of the use. One query.

    Jars that were processed again are not counted twice.
    """
    lots = Lot.objects.filter(
        use__in=[each.use.pk for each in uses], way=Way.CAN, came_of__isnull=True
    )
    rows = lots.order_by().values_list("use").annotate(jars=Sum("counted_in"))
    return Counter({use or 0: jars for use, jars in rows})


def still_wanted(figures: UseFigures, filled: Mapping[int, int], *, sure: bool = False) -> int:
    """Jars that a use still wants beyond those that went in: the likely number, or the highest."""
    jars = figures.jars_high if sure else figures.jars_likely
    return max(0, jars - filled.get(figures.use.pk, 0))


def jars_wanted(uses: Collection[UseFigures], *, sure: bool) -> ByHousehold:
    """Jars by household and kind: the likely number, or with `sure` the highest that may come.

    Those that went into a canner already are wanted no more. One query.
    """
    filled, wanted = put_in(uses), dict[int, Counter[str]]()
    for each in uses:
        if each.kind and (jars := still_wanted(each, filled, sure=sure)):
            wanted.setdefault(each.use.plan.household_id, Counter())[each.kind] += jars
    return wanted


def own_empty(stock: Stock, kind: str) -> int:
    """Empty jars in the house that are promised to nobody."""
    return max(0, stock.kinds.get(kind, Held()).empty - stock.promised.get(kind, 0))


def needs_of(wanted: ByHousehold, stocks: Mapping[int, Stock], coming: ByHousehold) -> list[Need]:
    """What each household wants and has, kind by kind; households in the order of `stocks`."""
    return [
        Need(
            stock.household,
            kind,
            wanted=wanted[key][kind],
            own=own_empty(stock, kind),
            coming=coming.get(key, NONE)[kind],
        )
        for key, stock in stocks.items()
        if key in wanted
        for kind in KINDS
        if wanted[key][kind]
    ]


def spares_of(wanted: ByHousehold, stocks: Mapping[int, Stock]) -> dict[int, dict[str, int]]:
    """What each household can lend without coming to lack it for its own plans.

    That is what it has counted as spare, and no more than its own plans leave empty.
    """
    spares = {}
    for key, stock in stocks.items():
        own = wanted.get(key, NONE)
        free = {
            kind: min(held.spare, own_empty(stock, kind) - own[kind])
            for kind, held in stock.kinds.items()
        }
        spares[key] = {kind: jars for kind, jars in free.items() if jars > 0}
    return {key: free for key, free in spares.items() if free}


def lids_lacking(wanted: ByHousehold, stocks: Mapping[int, Stock]) -> list[LidsLacking]:
    """One new lid and one band a jar, less what each household has of its own."""
    lids: Counter[str] = Counter()
    bands: Counter[str] = Counter()
    for key, jars in wanted.items():
        held = stocks[key].lids if key in stocks else {}
        for mouth in Mouth:
            of_mouth = sum(
                count for kind, count in jars.items() if size_and_mouth(kind)[1] == mouth
            )
            lids[mouth] += max(0, of_mouth - held.get(mouth, HeldLids()).lids)
            bands[mouth] += max(0, of_mouth - held.get(mouth, HeldLids()).bands)
    return [
        LidsLacking(mouth, lids[mouth], bands[mouth])
        for mouth in Mouth
        if lids[mouth] or bands[mouth]
    ]
