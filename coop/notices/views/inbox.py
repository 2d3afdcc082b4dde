"""The notices of a member on the site."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coop.notices.actions import reading
from coop.notices.by_hand import page_of
from coop.notices.queries.inbox import as_shown, listed
from coop.notices.rights import can_see_told
from coop.people.middleware import CoopRequest

PER_PAGE = 25


@never_cache
@require_safe
def inbox(request: CoopRequest) -> HttpResponse:
    """What there is to read, then what was read, the newest first."""
    now = timezone.now()
    pages = Paginator(listed(request.member, now), PER_PAGE)
    page = pages.get_page(request.GET.get("page"))
    shown = as_shown(page.object_list)
    context = {
        "page": page,
        "to_read": [each for each in shown if each.waits],
        "others": [each for each in shown if not each.waits],
        "shown_at": now.isoformat(),
        "sees_told": can_see_told(request.member),
    }
    return render(request, "notices/inbox.html", context)


@require_POST
def read_all(request: CoopRequest) -> HttpResponse:
    """All that stood on the page is read."""
    reading.read_all(by=request.member, shown_by=_moment(request.POST.get("shown_at", "")))
    messages.success(request, "All notices are read.")
    return redirect("notices:inbox", request.coop.slug)


def _moment(text: str) -> datetime | None:
    try:
        moment = parse_datetime(text)
    except ValueError:
        return None
    return moment if moment and timezone.is_aware(moment) else None


@require_POST
def open_notice(request: CoopRequest, notice_id: int) -> HttpResponse:
    """To the page of a notice, which is read by that."""
    notice = reading.read_notice(notice_id, by=request.member)
    return redirect(page_of(notice.matter, request.coop))
