"""Pages that match spare jars to what the plans lack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from coop.buying.models import Buy
from coop.buying.queries.buys import buy_for
from coop.jars.rights import can_act_for
from coop.kitchen.queries.matched import UNKNOWN_MINUTES, Lending, Matched, NeedMet, matched_jars
from coop.people.middleware import CoopRequest
from coop.people.models import Household, Member

ROWS_ON_A_PAGE = 25
#: More households than these are counted, not named.
MOST_NAMED = 12
MOST_NEEDS = 60


@dataclass(frozen=True)
class Row:
    """One lending, and what the member may do about it: ask for the jars, or offer them."""

    lending: Lending
    act: Literal["ask", "offer", ""]
    url: str
    is_ours: bool


@require_safe
def match(request: CoopRequest) -> HttpResponse:
    """Who could lend whom, for everything that is planned."""
    return _page(request, None)


@require_safe
def buy_jars(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Who could lend whom, for what is planned of one buy."""
    return _page(request, buy_for(request.member, buy_id))


def _page(request: CoopRequest, buy: Buy | None) -> HttpResponse:
    sure = request.GET.get("sure") == "1"
    found = matched_jars(request.coop, timezone.now(), buy=buy, sure=sure)
    rows = sorted(
        (_row(each, request.member) for each in found.lendings), key=lambda row: not row.is_ours
    )
    needs = _own_first(found, request.member.household)
    context = {
        "buy": buy,
        "found": found,
        "sure": sure,
        "page": Paginator(rows, ROWS_ON_A_PAGE).get_page(request.GET.get("page")),
        "query": "sure=1&" if sure else "",
        "needs": needs[:MOST_NEEDS],
        "needs_more": max(0, len(needs) - MOST_NEEDS),
        "old": found.old[:MOST_NAMED],
        "old_more": max(0, len(found.old) - MOST_NAMED),
        "missing": found.missing[:MOST_NAMED],
        "missing_more": max(0, len(found.missing) - MOST_NAMED),
        "unknown_minutes": UNKNOWN_MINUTES,
    }
    return render(request, "kitchen/together/jars.html", context)


def _row(lending: Lending, member: Member) -> Row:
    lender, borrower = lending.lender, lending.borrower
    own = member.household_id
    act: Literal["ask", "offer", ""] = ""
    if lender.pk == own:
        act = "offer"
    elif can_act_for(member, borrower):
        act = "ask"
    return Row(lending, act, _url(lending, member, act), own in {lender.pk, borrower.pk})


def _url(lending: Lending, member: Member, act: str) -> str:
    """The form of a loan with these jars in it; `for` where a coordinator acts for another."""
    if not act:
        return ""
    pairs: list[tuple[str, object]] = []
    for kind, count in lending.jars.items():
        pairs += [("kind", kind), ("count", count)]
    if act == "ask" and lending.borrower.pk != member.household_id:
        pairs.append(("for", lending.borrower.pk))
    name, other = ("borrow", lending.lender) if act == "ask" else ("offer", lending.borrower)
    page = reverse(f"jars:{name}", args=[member.coop.slug, other.pk])
    return f"{page}?{urlencode(pairs)}"


def _own_first(found: Matched, household: Household) -> list[NeedMet]:
    """Needs, the household's own first, then those that stay open."""
    return sorted(found.needs, key=lambda each: (each.need.household != household, -each.lacking))
