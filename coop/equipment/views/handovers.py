"""Pages of handovers."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def handover(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("handover", status=405)


def hand_out(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("hand_out", status=405)


def hand_back(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("hand_back", status=405)
