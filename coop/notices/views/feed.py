"""A member's calendar, for the programs that call its private address."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_safe

from coop.notices.calendar.calendars import CONTENT_TYPE, feed_of
from coop.notices.queries.feed import FeedState, matters_of, member_of_feed, state_of
from coop.people.models import Member


@login_not_required
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponseBase:
    """The calendar; 304 where the program has it as it stands, found without making it.

    Whoever knows the address reads it. Nothing tells an address that never was from one that was
    ended or renewed, or whose member left.
    """
    member = member_of_feed(secret)
    state = state_of(member, timezone.now())
    changed = None if state.changed_at is None else int(state.changed_at.timestamp())
    answer = get_conditional_response(request, etag=state.etag, last_modified=changed)
    if answer is None:
        answer = _calendar(member, state)
    answer.headers["ETag"] = state.etag
    if changed is not None:
        answer.headers["Last-Modified"] = http_date(changed)
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers["X-Robots-Tag"] = "noindex"
    return answer


def _calendar(member: Member, state: FeedState) -> HttpResponse:
    made = feed_of(
        member.coop, matters_of(member, state), state.alarms, first_year=state.first_year
    )
    answer = HttpResponse(made, content_type=CONTENT_TYPE)
    # A file that is kept is not named by the secret.
    answer.headers["Content-Disposition"] = 'inline; filename="calendar.ics"'
    return answer
