"""Pages of things."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def things(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("things", status=405)


def new_thing(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("new_thing", status=405)


def thing(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("thing", status=405)


def edit_thing(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("edit_thing", status=405)


def hours(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("hours", status=405)


def parts(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("parts", status=405)


def retire(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("retire", status=405)


def sheet(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("sheet", status=405)


def add_photo(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("add_photo", status=405)


def photo(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("photo", status=405)


def drop_photo(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("drop_photo", status=405)
