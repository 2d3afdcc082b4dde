"""Pages of canner loads that households could share."""

from __future__ import annotations

from collections.abc import Sequence

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coop.buying.models import Buy
from coop.buying.queries.buys import buy_for
from coop.kitchen.queries.shared_loads import Alike, JointLoad, Part
from coop.kitchen.queries.together import Together, together_in
from coop.people.middleware import CoopRequest
from coop.people.models import Household

LOADS_ON_A_PAGE = 20
PARTS_ON_A_PAGE = 40
APART = "apart"


@require_safe
def together(request: CoopRequest) -> HttpResponse:
    """Loads to share among all that is planned and not put up."""
    return _page(request, None)


@require_safe
def buy_loads(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Loads to share among the plans of one buy."""
    return _page(request, buy_for(request.member, buy_id))


def _page(request: CoopRequest, buy: Buy | None) -> HttpResponse:
    """What can be put together, or with `show` everybody's own loads."""
    found, household = together_in(request.coop, buy), request.member.household
    is_apart = request.GET.get("show") == APART or not found.loads_less
    rows: Sequence[tuple[object, ...]]
    rows = _own_first(found, household) if is_apart else _joint(found, household)
    pages = Paginator(rows, PARTS_ON_A_PAGE if is_apart else LOADS_ON_A_PAGE)
    context = {
        "buy": buy,
        "found": found,
        "is_apart": is_apart,
        "page": pages.get_page(request.GET.get("page")),
        "query": f"show={APART}&" if is_apart else "",
    }
    return render(request, "kitchen/together/loads.html", context)


def _joint(found: Together, household: Household) -> list[tuple[Alike, JointLoad, str]]:
    """Every load to put together with its group: the household's own groups and loads first."""
    return [
        (group, load, group.told(load))
        for group in sorted(found.shared, key=lambda group: not group.concerns(household))
        for load in sorted(group.joint, key=lambda load: not load.concerns(household))
    ]


def _own_first(found: Together, household: Household) -> list[tuple[Alike, Part]]:
    """Every use with its group: the household's own first, then by the names of households."""
    rows = [(group, part) for group in found.groups for part in group.parts]
    return sorted(
        rows, key=lambda row: (row[1].household != household, row[1].household.name.casefold())
    )
