"""The board of all things."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def board(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("board", status=405)
