"""Pages of finding a time, and of places in line."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def find(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("find", status=405)


def standbys(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("standbys", status=405)


def stand_by(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("stand_by", status=405)


def end_standby(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("end_standby", status=405)


def take(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("take", status=405)


def pass_on(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("pass_on", status=405)
