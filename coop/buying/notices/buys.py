"""Keeps what there is to tell of a buy."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from coop.buying.leaving import UNFINISHED
from coop.buying.models import Buy
from coop.buying.notices import asking, called_off, kinds, news, pickup, running
from coop.buying.notices.known import Known
from coop.notices.actions.keeping import Kept, keep
from coop.notices.says import Say
from coop.notices.sources import Source, sources
from coop.people import hooks
from coop.people.models import Coop

NAME = "buy"
#: So long after its pickup a buy that is over is still looked through.
LOOKED_THROUGH = timedelta(days=60)


def register() -> None:
    """Make the kinds and the source known; called once, when the app is ready."""
    kinds.register()
    sources.append(Source(NAME, live, renew_buy))
    hooks.locked_first.append(lock_buys)
    hooks.came_or_left.append(renew_buys)


def says_of(buy: Buy) -> list[Say]:
    """All that there is to tell of a buy as it stands. At most eleven queries."""
    known = Known(buy)
    parts = (asking, news, called_off, pickup, running)
    return [say for part in parts for say in part.said(known)]


def renew_buy(buy_id: int) -> Kept:
    """Lock a buy, and keep what there is to tell of it. The last thing that an act does."""
    with transaction.atomic():
        buy = (
            Buy.objects.select_for_update(of=("self",))
            .select_related("coop", "coordinator")
            .get(pk=buy_id)
        )
        return keep(buy.coop, f"{NAME}:{buy.pk}", says_of(buy))


def live(coop: Coop) -> Iterable[int]:
    """Buys that are not over, or were not lately."""
    return _live(coop.pk).values_list("pk", flat=True)


def _live(coop_id: int) -> QuerySet[Buy]:
    since = timezone.now() - LOOKED_THROUGH
    buys = Buy.objects.filter(coop=coop_id)
    return buys.filter(Q(stage__in=UNFINISHED) | Q(pickup_to__gte=since)).order_by("pk")


# ---- who joins or leaves ----------------------------------------------------------------------
def lock_buys(coop_id: int) -> None:
    """Lock the live buys, in order: whoever writes a buy into the books locks it first too."""
    list(_live(coop_id).select_for_update(of=("self",)).values_list("pk"))


def renew_buys(coop: Coop) -> None:
    """Keep what there is to tell of the buys under way."""
    under_way = Buy.objects.filter(coop=coop, stage__in=UNFINISHED).order_by("pk")
    for buy_id in under_way.values_list("pk", flat=True):
        renew_buy(buy_id)
