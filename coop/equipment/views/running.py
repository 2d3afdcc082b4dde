"""Pages of what ends by itself."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def run(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("run", status=405)


def answer_shift(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("answer_shift", status=405)
