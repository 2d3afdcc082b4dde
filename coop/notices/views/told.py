"""Who has been told: about one buy or thing, and in the whole co-op whom mail does not reach."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from coop.notices.actions import refused as acts
from coop.notices.circles import NOT_THEIRS, concern_for
from coop.notices.queries.latest import latest_in, latest_of
from coop.notices.queries.refused import (
    is_under_way,
    mail_for,
    noted_in,
    refusals_of,
    refused_in,
    troubles_in,
)
from coop.notices.queries.told import group_named, missed_in, silent_in, told_about
from coop.notices.queries.unreached import unreached_in
from coop.notices.rights import FOR_COORDINATORS, can_see_told
from coop.people.middleware import CoopRequest
from coop.people.rights import require

PER_PAGE = 25
#: Of refused mails so many are shown; taking note of some makes room for the next.
MOST_REFUSED, MOST_NOTED, MOST_MISSED = 50, 10, 20


@require_safe
def told(request: CoopRequest) -> HttpResponse:
    """Whom mail does not reach, what keeps it waiting, and what was told in the last days."""
    require(can_see_told(request.member), FOR_COORDINATORS)
    now = timezone.now()
    refused = refused_in(request.coop)
    page = Paginator(latest_in(request.coop, now), PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "troubles": troubles_in(request.coop),
        "refused": refusals_of(refused[:MOST_REFUSED], now),
        "refused_count": refused.count(),
        "unreached": [each for each in unreached_in(request.coop) if each.is_noted],
        "is_under_way": is_under_way(request.coop),
        "noted": refusals_of(noted_in(request.coop)[:MOST_NOTED], now),
        "page": page,
        "latest": [latest_of(row) for row in page],
    }
    return render(request, "notices/told.html", context)


@require_safe
def about(request: CoopRequest, circle: str, circle_id: int) -> HttpResponse:
    """Who has been told about a buy or a thing, by kind; `of` opens one with all its people."""
    concern = concern_for(request.member, circle, circle_id)
    require(concern.may_write, NOT_THEIRS)
    groups = told_about(request.coop, concern, timezone.now())
    missed = missed_in(groups)
    context = {
        "concern": concern,
        "groups": groups,
        "group": group_named(groups, request.GET.get("of", "")),
        "missed": missed[:MOST_MISSED],
        "missed_more": len(missed[MOST_MISSED:]),
        "silent": silent_in(groups),
        "sees_all": can_see_told(request.member),
    }
    return render(request, "notices/about.html", context)


@require_POST
def seen(request: CoopRequest, mail_id: int) -> HttpResponse:
    """Take note of a refused mail."""
    mail = mail_for(request.member, mail_id)
    acts.take_note(mail, by=request.member)
    messages.success(request, f"Noted: mail does not reach {mail.member}.")
    return redirect("notices:told", request.coop.slug)


@require_POST
def again(request: CoopRequest, mail_id: int) -> HttpResponse:
    """Have a refused mail sent again."""
    mail = mail_for(request.member, mail_id)
    acts.try_again(mail, by=request.member)
    messages.success(request, f"The mail to {mail.member} is tried again within a minute.")
    return redirect("notices:told", request.coop.slug)
