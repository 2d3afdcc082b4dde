"""What there is to tell of one load: seals to try, or that it is suspect.

What speaks against jars hangs together: what unsealed jars of a suspect load were processed again
into is suspect too. So an act on one lot keeps what is told of the loads of its whole family: all
that it came of, and all that was made of it. Their rows are locked in the order of their keys,
after the lots that the act changes.

A race that we accept: a lot that names no share is tied to a delivery by the day of the buy's
pickup. Where that day is moved after somebody warned of the delivery, what is told of such a lot
follows with the next act on it, or when all is looked through.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse

from coop.kitchen.models import Load, Lot, WarningTo
from coop.kitchen.notices import kinds
from coop.kitchen.notices.seals import seal_says, sources_said
from coop.kitchen.queries.dangers import ancestors, parents_in
from coop.kitchen.queries.lots import lots_of, with_shelf
from coop.kitchen.queries.seals import unfinished
from coop.kitchen.queries.trace import descendants
from coop.kitchen.queries.warnings import WHAT_TO_DO, ToTell, to_tell, what_to_do
from coop.notices.actions.keeping import Kept, keep
from coop.notices.queries.causes import causes_told
from coop.notices.says import Say
from coop.people.models import Coop, Household

CAUSE = "load"


def live(coop: Coop) -> Iterable[int]:
    """Loads with jars that wait, suspect ones, and those of which something stands to be told."""
    waiting = unfinished(with_shelf(lots_of(coop))).values_list("load", flat=True)
    concerned = Q(suspect_at__isnull=False) | Q(pk__in=causes_told(coop, CAUSE))
    loads = Load.objects.filter(coop=coop).filter(concerned | Q(pk__in=set(waiting)))
    return list(loads.order_by("pk").values_list("pk", flat=True))


def renew(load_id: int) -> Kept:
    """Keep what there is to tell of a load, locked."""
    with transaction.atomic():
        load = _locked(Load.objects.filter(pk=load_id)).select_related("coop").get()
        return keep(load.coop, f"{CAUSE}:{load.pk}", says_of(load))


def renew_around(coop: Coop, lots: Iterable[int]) -> None:
    """Keep what there is to tell of the loads of these lots, and of all that hang on them."""
    for pk in _loads_around(coop, lots):
        renew(pk)


def lock_around(load: Load) -> None:
    """Lock the lots of a load, then the loads of their families; before the load is changed."""
    lots = Lot.objects.filter(load=load).select_for_update(of=("self",)).order_by("pk")
    loads = {load.pk, *_loads_around(load.coop, [lot.pk for lot in lots])}
    list(_locked(Load.objects.filter(pk__in=loads)).order_by("pk"))


def renew_of(household: Household) -> None:
    """Keep what is told of suspect jars of a household, which may have another name."""
    loads = Load.objects.filter(lots__household=household, suspect_at__isnull=False)
    lots = Lot.objects.filter(load__in=loads).values_list("pk", flat=True)
    renew_around(household.coop, lots)


def says_of(load: Load) -> list[Say]:
    """Everything that there is to tell of it; a fixed number of queries."""
    return list(_suspect_says(load) if load.suspect_at else seal_says(load))


def _suspect_says(load: Load) -> Iterator[Say]:
    """To each household that has, had or was given its jars; a warning of the load says it all."""
    warned = WarningTo.objects.filter(warning__load=load).values_list("household", flat=True)
    done = set(warned)
    for each in to_tell(load.coop, load):
        if each.household.pk not in done:
            yield _suspect(load, each)


def _suspect(load: Load, told: ToTell) -> Say:
    if load.suspect_at is None:
        raise ValueError("It is not suspect.")
    return Say(
        f"suspect:{told.household.pk}",
        kinds.SUSPECT.code,
        told.household,
        load.suspect_at,
        f"Do not eat: {told.jars}",
        "Do not eat from these jars, sealed or not. Their load is suspect.",
        button="The load",
        path=reverse("kitchen:load", args=[load.coop.slug, load.pk]),
        details=(
            f"{load}: {load.suspect_why}",
            *(each.gist for each in what_to_do()),
            sources_said(WHAT_TO_DO),
        ),
    )


def _loads_around(coop: Coop, lots: Iterable[int]) -> list[int]:
    ids = set(lots)
    if not ids:
        return []
    parents = parents_in(coop)
    family = descendants(ids, coop).union(*(ancestors(pk, parents) for pk in ids))
    loads = Lot.objects.filter(pk__in=family, load__isnull=False).values_list("load", flat=True)
    return sorted({int(pk or 0) for pk in loads})


def _locked(loads: QuerySet[Load]) -> QuerySet[Load]:
    return loads.select_for_update(of=("self",), no_key=True)
