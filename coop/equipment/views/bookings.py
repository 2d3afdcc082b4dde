"""Pages of bookings."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def book(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("book", status=405)


def bookings(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("bookings", status=405)


def booking(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("booking", status=405)


def move(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("move", status=405)


def end_now(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("end_now", status=405)


def cancel(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("cancel", status=405)
