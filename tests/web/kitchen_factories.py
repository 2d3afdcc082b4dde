"""Jars, loans, plans, loads and lots for tests, every argument defaulted.

Rows are written as the acts would leave them, without going through the acts. Produce is in tenths
of a pound; `kinds` of jars are keys such as "quart_wide". All names are invented.
"""

from collections.abc import Iterable, Mapping
from datetime import timedelta
from decimal import Decimal
from typing import Any

from coop.jars.models import Count, CountedJars, CountedLids, JarMove, Loan, LoanLine
from coop.kitchen.models import (
    Fate,
    JarWarning,
    Kitchen,
    Load,
    Lot,
    Outcome,
    Plan,
    SealCheck,
    Taken,
    Use,
    WarningTo,
    Way,
)
from coop.people.models import Coop, Home, Household, Member
from tests.web.factories import NOW, make_coop, make_household, make_member, number

QUARTS = "quart_regular"
#: What a use says of each way, apart from how much.
USES: Mapping[Way, Mapping[str, Any]] = {
    Way.CAN: {
        "product": "whole_kernel",
        "pack": "hot",
        "method": "dial_gauge",
        "jar": "quart",
    },
    Way.FREEZE: {"product": "whole_kernel", "jar": "pint"},
    Way.DRY: {"product": "kernels_cut_after_blanching", "tray_tenths": 15},
}


def speaker(household: Household) -> Member:
    """Who acts for a household: its first member, who is made where there is none."""
    return household.members.first() or make_member(household)


# ---- Jars -----------------------------------------------------------------------------------
def make_home(household: Household | None = None, north: Any = "39.10", east: Any = "-108.40"):
    """Where a household lives: degrees, by default all in one place."""
    household = household or make_household()
    place = {"latitude": Decimal(north), "longitude": Decimal(east)}
    return Home.objects.create(household=household, **place)


def make_count(
    household: Household | None = None,
    kinds: Mapping[str, tuple[int, int, int]] | None = None,
    *,
    lids: Mapping[str, tuple[int, int]] | None = None,
    by: Member | None = None,
    **fields: Any,
) -> Count:
    """A count: {kind: (full, empty, spare)}, `lids` by mouth (lids, bands).

    By default 10 full and 24 empty quarts, 12 of them spare, and no lids.
    """
    household = household or make_household()
    fields.setdefault("at", NOW - timedelta(days=2))
    count = Count.objects.create(household=household, by=by or speaker(household), **fields)
    for kind, (full, empty, spare) in ({QUARTS: (10, 24, 12)} if kinds is None else kinds).items():
        CountedJars.objects.create(count=count, kind=kind, full=full, empty=empty, spare=spare)
    for mouth, (new, bands) in (lids or {}).items():
        CountedLids.objects.create(count=count, mouth=mouth, lids=new, bands=bands)
    return count


def make_loan(
    lender: Household | None = None,
    borrower: Household | None = None,
    kinds: Mapping[str, int] | None = None,
    *,
    agreed: bool = False,
    handed_over: bool = False,
    returned: int = 0,
    **fields: Any,
) -> Loan:
    """A loan that the borrower asked for, of twelve quarts; `returned` are of its first kind.

    What was handed over was agreed before.
    """
    handed_over = handed_over or returned > 0
    coop = lender.coop if lender else borrower.coop if borrower else make_coop()
    lender, borrower = lender or make_household(coop), borrower or make_household(coop)
    by, owner = speaker(borrower), speaker(lender)
    defaults: dict[str, Any] = {
        "coop": coop,
        "started": Loan.Started.ASKED,
        "due_on": (NOW + timedelta(days=30)).date(),
        "at": NOW - timedelta(days=3),
        "by": by,
    }
    if agreed or handed_over:
        defaults |= {"agreed_at": NOW - timedelta(days=2), "agreed_by": owner}
    loan = Loan.objects.create(lender=lender, borrower=borrower, **defaults | fields)
    lines = [
        LoanLine.objects.create(loan=loan, kind=kind, count=count)
        for kind, count in (kinds or {QUARTS: 12}).items()
    ]
    for line in lines if handed_over else ():
        make_move(loan, line.kind, line.count, at=NOW - timedelta(days=1), by=owner)
    if returned:
        make_move(loan, lines[0].kind, returned, what=JarMove.What.RETURNED, by=owner)
    return loan


def make_move(
    loan: Loan,
    kind: str = QUARTS,
    count: int = 1,
    *,
    what: str = JarMove.What.HANDED_OVER,
    **fields: Any,
) -> JarMove:
    """Jars of a loan that changed hands."""
    defaults: dict[str, Any] = {"at": NOW, "by": loan.agreed_by or loan.by}
    return JarMove.objects.create(loan=loan, kind=kind, count=count, what=what, **defaults | fields)


# ---- Plans ----------------------------------------------------------------------------------
def make_kitchen(coop: Coop | None = None, name: str = "", **fields: Any) -> Kitchen:
    """A kitchen as high as the co-op that `make_coop` makes."""
    defaults = {"coop": coop or make_coop(), "name": name or f"Kitchen {number()}"}
    return Kitchen.objects.create(**defaults | {"altitude_ft": 5430} | fields)


def make_plan(
    household: Household | None = None,
    produce: str = "sweet_corn",
    tenths: int = 700,
    *,
    by: Member | None = None,
    **fields: Any,
) -> Plan:
    """A plan without any use yet, for two bushels of corn that were typed in."""
    household = household or make_household()
    defaults = {"coop": household.coop, "by": by or speaker(household), "at": NOW}
    return Plan.objects.create(
        household=household, produce=produce, tenths=tenths, **defaults | fields
    )


def make_use(
    plan: Plan | None = None, tenths: int = 350, *, way: str = Way.CAN, **fields: Any
) -> Use:
    """A use of a plan: by default corn in quarts under pressure."""
    plan = plan or make_plan()
    defaults = {"position": plan.uses.count(), **USES[Way(way)]}
    if fields.get("jars"):
        tenths = 0
    return Use.objects.create(plan=plan, way=way, tenths=tenths, **defaults | fields)


def make_outcome(use: Use | None = None, tenths: int = 0, jars: int = 8, **fields: Any) -> Outcome:
    """What was put up of a use: by default all that it was planned for."""
    use = use or make_use()
    defaults = {"on": NOW.date(), "at": NOW, "by": use.plan.by}
    return Outcome.objects.create(
        use=use, tenths=tenths or use.tenths, jars=jars, **defaults | fields
    )


# ---- Loads and lots -------------------------------------------------------------------------
def make_load(coop: Coop | None = None, *, by: Member | None = None, **fields: Any) -> Load:
    """A load of today, 85 minutes at 13 psi, that ended fourteen hours ago."""
    coop = coop or (by.coop if by else make_coop())
    by = by or coop.members.first() or make_member(make_household(coop))
    day = fields.setdefault("day", NOW.date())
    defaults = {
        "run": Load.objects.filter(coop=coop, day=day).count() + 1,
        "canner": "The big pressure canner",
        "method": "dial_gauge",
        "gauge_tested_on": (NOW - timedelta(days=90)).date(),
        "altitude_ft": coop.altitude_ft,
        "minutes": 85,
        "psi": None if fields.get("method") == "boiling_water" else 13,
        "vent_minutes": None if fields.get("method") == "boiling_water" else 10,
        "ended_at": NOW - timedelta(hours=14),
        "watcher": by,
        "at": NOW - timedelta(hours=14),
    }
    return Load.objects.create(coop=coop, by=by, **defaults | fields)


def make_lot(
    household: Household | None = None,
    counted_in: int = 7,
    *,
    sealed: int | None = None,
    counted_out: int | None = None,
    load: Load | None = None,
    **fields: Any,
) -> Lot:
    """A lot of corn in quarts out of a new load; frozen or dried with `way`, and then of no load.

    With `sealed` its seals were tried, and it was counted out: as many as went in, by default.
    """
    household = household or make_household(load.coop if load else None)
    coop, by = household.coop, speaker(household)
    way = Way(fields.setdefault("way", Way.CAN))
    if way == Way.CAN:
        load = load or make_load(coop)
        fields = {"pack": "hot", "jar": "quart", "made_on": load.day} | fields
    elif way == Way.FREEZE:
        fields = {"jar": "pint"} | fields
    if sealed is not None and counted_out is None:
        counted_out = counted_in
    last = Lot.objects.filter(coop=coop).order_by("-number").first()
    defaults: dict[str, Any] = {
        "coop": coop,
        "number": last.number + 1 if last else 101,
        "produce": "sweet_corn",
        "product": "whole_kernel",
        "made_on": NOW.date(),
        "difference_why": "" if counted_out in {None, counted_in} else "One broke in the canner",
        "at": NOW - timedelta(hours=13),
        "by": by,
    }
    lot = Lot.objects.create(
        household=household,
        load=load,
        counted_in=counted_in,
        counted_out=counted_out,
        **defaults | fields,
    )
    if sealed is not None:
        SealCheck.objects.create(lot=lot, sealed=sealed, checked_at=NOW, by=by)
    return lot


def make_fate(
    lot: Lot | None = None, what: str = Fate.What.FRIDGE, count: int = 1, **fields: Any
) -> Fate:
    """What became of a jar that did not seal."""
    lot = lot or make_lot(sealed=6)
    defaults = {"at": NOW, "by": lot.by}
    return Fate.objects.create(lot=lot, what=what, count=count, **defaults | fields)


def make_taken(
    lot: Lot | None = None, count: int = 1, *, given_to: Household | None = None, **fields: Any
) -> Taken:
    """A jar that left the shelf: used, or given to another household."""
    lot = lot or make_lot(sealed=7)
    what = Taken.What.GIVEN if given_to else Taken.What.USED
    defaults = {"what": what, "at": NOW, "by": lot.by}
    return Taken.objects.create(lot=lot, count=count, given_to=given_to, **defaults | fields)


# ---- Warnings -------------------------------------------------------------------------------
def make_warning(
    lot: Lot | None = None,
    *,
    to: Iterable[Household] | None = None,
    by: Member | None = None,
    **fields: Any,
) -> JarWarning:
    """A warning about a lot, or with `load` or `supply` about that; unread by whom it is sent to.

    By default it is sent to the household of the lot.
    """
    if not {"load", "supply"} & set(fields):
        lot = lot or make_lot(sealed=7)
        fields["lot"] = lot
    if by is None:
        by = lot.by if lot else make_member(make_household(_coop_of(fields)), roles=["host"])
    defaults = {"sentence": "Do not eat these: the gauge read wrong.", "at": NOW}
    warning = JarWarning.objects.create(coop=by.coop, by=by, **defaults | fields)
    for household in to if to is not None else [lot.household] if lot else ():
        WarningTo.objects.create(warning=warning, household=household, jars="All of them")
    return warning


def _coop_of(about: Mapping[str, Any]) -> Coop:
    """The co-op of the load or of the supply that a warning is about."""
    return about["load"].coop if "load" in about else about["supply"].farm.coop
