"""Pages of the pickup: who comes for what, ticked as people come, on screen and on paper."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from coop.buying import rights
from coop.buying.actions import pickup as acts
from coop.buying.models import Buy
from coop.buying.queries.buys import buy_for
from coop.buying.queries.pickup import Pickup, handed_out, pickups_of, sheet_of
from coop.buying.queries.shares import claim_for, household_in, released_from, share_for
from coop.money.rights import can_see_books
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.pages import wants_part


@require_GET
def pickup(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Everybody who comes, what they get, what they owe."""
    buy = buy_for(request.member, buy_id)
    pickups = pickups_of(buy)
    context = {
        **_shown(request, buy, pickups),
        "others": [each for each in pickups if each.state != "waiting"],
        "released_from": released_from(buy),
        "is_over": timezone.now() >= released_from(buy),
    }
    return render(request, "buying/pickup/pickup.html", context)


def _shown(request: CoopRequest, buy: Buy, pickups: list[Pickup]) -> dict[str, Any]:
    """What the page and a card that changes on it both show."""
    return {
        "buy": buy,
        "pickups": pickups,
        "waiting": [each for each in pickups if each.state == "waiting"],
        "handed_out": handed_out(pickups),
        "can_run": rights.can_run(request.member, buy),
        "sees_books": can_see_books(request.member),
    }


@require_GET
def pickup_sheet(request: CoopRequest, buy_id: int) -> HttpResponse:
    """The same on paper, with boxes to tick."""
    buy = buy_for(request.member, buy_id)
    lines, rows = sheet_of(pickups_of(buy))
    context = {"buy": buy, "rows": rows, "lines": lines}
    return render(request, "buying/pickup/sheet.html", context)


@require_POST
def tick_share(request: CoopRequest, share_id: int) -> HttpResponse:
    """One share is fetched."""
    share = share_for(request.member, share_id)
    acts.tick_share(share, by=request.member)
    return _back(request, share.division.line.buy, share.household)


@require_POST
def untick_share(request: CoopRequest, share_id: int) -> HttpResponse:
    """One share was ticked by mistake."""
    share = share_for(request.member, share_id)
    acts.untick_share(share, by=request.member)
    return _back(request, share.division.line.buy, share.household)


@require_POST
def tick_claim(request: CoopRequest, claim_id: int) -> HttpResponse:
    """One claim from the spare table is fetched."""
    claim = claim_for(request.member, claim_id)
    acts.tick_claim(claim, by=request.member)
    return _back(request, claim.spare.division.line.buy, claim.household)


@require_POST
def untick_claim(request: CoopRequest, claim_id: int) -> HttpResponse:
    """One claim was ticked by mistake."""
    claim = claim_for(request.member, claim_id)
    acts.untick_claim(claim, by=request.member)
    return _back(request, claim.spare.division.line.buy, claim.household)


@require_POST
def tick_household(request: CoopRequest, buy_id: int, household_id: int) -> HttpResponse:
    """A household fetched all that is there for it."""
    buy = buy_for(request.member, buy_id)
    household = household_in(request.member, household_id)
    acts.tick_household(buy, household, by=request.member)
    return _back(request, buy, household)


@require_POST
def release_unfetched(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Put what nobody fetched on the spare table."""
    buy = buy_for(request.member, buy_id)
    spares = acts.release_unfetched(buy, by=request.member, now=timezone.now())
    said = f"{len(spares)} put on the spare table." if spares else "Everything was fetched."
    messages.success(request, said)
    return redirect("buying:spare", request.coop.slug, buy.pk)


def _back(request: CoopRequest, buy: Buy, household: Household) -> HttpResponse:
    """The household as it stands: for htmx its card and the sums, else the page at its card."""
    if wants_part(request):
        return changed_card(request, buy, household)
    page = reverse("buying:pickup", args=[request.coop.slug, buy.pk])
    return redirect(f"{page}#household-{household.pk}")


def changed_card(request: CoopRequest, buy: Buy, household: Household) -> HttpResponse:
    """The card of a household as it stands now, with the sums at the head of the page."""
    pickups = pickups_of(buy)
    mine = next((each for each in pickups if each.household == household), None)
    context = _shown(request, buy, pickups) | {"pickup": mine}
    return render(request, "buying/pickup/changed.html", context)
