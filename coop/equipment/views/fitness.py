"""Pages of fitness for use, and of what a household was told."""

from typing import Any

from django.http import HttpResponse

from coop.people.middleware import CoopRequest


def fit(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("fit", status=405)


def test_gauge(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("test_gauge", status=405)


def cares(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("cares", status=405)


def care_done(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("care_done", status=405)


def drop_care(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("drop_care", status=405)


def report_fault(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("report_fault", status=405)


def mend_fault(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("mend_fault", status=405)


def read_told(request: CoopRequest, **keys: Any) -> HttpResponse:
    """Not built yet."""
    return HttpResponse("read_told", status=405)
