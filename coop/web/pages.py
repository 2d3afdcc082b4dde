"""Small helpers for views: a form refused, a page or its part, a word in the status region."""

import json
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

UNPROCESSABLE = 422


def refused(request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """The page again with its errors, everything typed kept: status 422."""
    return render(request, template, context, status=UNPROCESSABLE)


def wants_part(request: HttpRequest) -> bool:
    """Whether htmx asks for a part of the page; a boosted or restored page is a whole one."""
    headers = request.headers
    return headers.get("HX-Request") == "true" and not (
        headers.get("HX-Boosted") or headers.get("HX-History-Restore-Request")
    )


def page_or_part(
    request: HttpRequest,
    page: str,
    part: str,
    context: dict[str, Any],
    *,
    status: int = 200,
) -> HttpResponse:
    """The whole page, or for htmx the part of it that changes alone, from the same context."""
    response = render(request, part if wants_part(request) else page, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def say(response: HttpResponse, line: str) -> HttpResponse:
    """Have the page's status region say a line when htmx swaps this answer in."""
    response.headers["HX-Trigger"] = json.dumps({"status": line})
    return response
