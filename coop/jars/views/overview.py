"""The first page of Jars."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coop.jars.queries.overview import overview_of
from coop.people.days import today_in
from coop.people.middleware import CoopRequest

LOANS_SHOWN = 5


@require_safe
def jars(request: CoopRequest) -> HttpResponse:
    """What one's household has, lends and borrows, and the ways to everything about jars."""
    household = request.member.household
    mine = overview_of(household, today_in(request.coop, timezone.now()))
    context = {"household": household, "mine": mine, "loans": mine.loans[:LOANS_SHOWN]}
    return render(request, "jars/jars.html", context)
