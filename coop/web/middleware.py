"""What holds for every answer: the content policy, and one reading of the client's address."""

from collections.abc import Callable
from http import HTTPStatus
from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
PERMISSIONS_POLICY = ", ".join(
    f"{feature}=()"
    for feature in ("camera", "display-capture", "geolocation", "microphone", "payment", "usb")
)
POLICIES = {
    "Content-Security-Policy": CONTENT_POLICY,
    "Permissions-Policy": PERMISSIONS_POLICY,
    "Referrer-Policy": "same-origin",
}

Answer = Callable[[HttpRequest], HttpResponse]


class ContentPolicyMiddleware:
    """Settles the client's address once, and sends the policies with every answer."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request, with the policies."""
        address = client_address(request, hops=settings.TRUSTED_PROXIES)
        request.client_address = address  # type: ignore[attr-defined]
        response = self.get_response(request)
        if response.status_code == HTTPStatus.METHOD_NOT_ALLOWED and not response.content:
            response = _page_for_method_refused(request, response)
        for name, value in POLICIES.items():
            response.headers.setdefault(name, value)
        return response


def client_address(request: HttpRequest, *, hops: int) -> str:
    """The address that the outermost proxy of ours was called from; without proxies, the peer's.

    Each of our `hops` proxies appends who called it to X-Forwarded-For, so the entry that many
    from the end is true; what stands before it the client may have written itself.
    """
    peer = str(request.META.get("REMOTE_ADDR", ""))
    forwarded = request.headers.get("X-Forwarded-For", "").split(",")
    if hops < 1 or len(forwarded) < hops:
        return peer
    try:
        return str(ip_address(forwarded[-hops].strip()))
    except ValueError:
        return peer


def _page_for_method_refused(request: HttpRequest, refused: HttpResponse) -> HttpResponse:
    page = render(request, "405.html", status=HTTPStatus.METHOD_NOT_ALLOWED)
    page.headers["Allow"] = refused.headers.get("Allow", "")
    return page
