"""Finds the co-op that an address starts with, and the member who asks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase

from coop.people.models import Coop, Member

GetResponse = Callable[[HttpRequest], HttpResponseBase]


class CoopRequest(HttpRequest):
    """A request of a member for a page of their co-op."""

    coop: Coop
    member: Member


class CoopMiddleware:
    """Every address with a `coop` in it belongs to the members of that co-op and to nobody else.

    A stranger gets the same 404 for a co-op that exists and for one that does not. The view gets
    `request.coop` and `request.member` in place of the slug, so a new page cannot forget to ask.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view: Any,
        args: tuple[Any, ...],
        kwargs: dict[str, Any],
    ) -> HttpResponse | None:
        if "coop" not in kwargs:
            return None
        slug = kwargs.pop("coop")
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        member = (
            Member.objects.select_related("coop", "household")
            .filter(coop__slug=slug, user=request.user.pk, left_at__isnull=True)
            .first()
        )
        if member is None:
            raise Http404
        request.coop, request.member = member.coop, member  # type: ignore[attr-defined]
        return None
