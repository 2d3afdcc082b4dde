"""The board of all things."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from coop.equipment.forms.board import BoardForm
from coop.equipment.queries.board import View, board_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused


@require_GET
def board(request: CoopRequest) -> HttpResponse:
    """What is booked, out, late and out of order: a day or a week of all things, or of a kind."""
    now = timezone.now()
    today = now.astimezone(ZoneInfo(request.coop.time_zone)).date()
    typed = {name: request.GET.get(name, "") for name in BoardForm.base_fields}
    filters = {name: value for name, value in typed.items() if value}
    form = BoardForm({"day": today.isoformat(), "view": View.DAY} | filters)
    is_understood = form.is_valid()
    day, view, kind = form.asked(today)
    context = {
        "form": form,
        "board": board_of(
            request.coop, day, view=view, kind=kind, now=now, page=request.GET.get("page")
        ),
        "query": urlencode(filters) + "&" if filters else "",
    }
    if is_understood:
        return render(request, "equipment/board.html", context)
    return refused(request, "equipment/board.html", context)
