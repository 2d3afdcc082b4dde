"""What can be set wrongly, found before it is served."""

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core import checks
from django.core.checks import CheckMessage, Tags, register

LOOPBACK = {"localhost", "127.0.0.1", "[::1]"}


@register(Tags.security)
def hosts_are_named(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """Refuse a wildcard host: a forged Host header would then write the links in our mail."""
    if "*" not in settings.ALLOWED_HOSTS or settings.DEBUG:
        return []
    return [
        checks.Error(
            "ALLOWED_HOSTS holds '*', so any host name would be believed.",
            hint="List the names that the site is reached by: ALLOWED_HOSTS=larders.example",
            id="larders.E001",
        )
    ]


@register(Tags.security)
def others_come_by_https(app_configs: Sequence[Any] | None, **kwargs: Any) -> list[CheckMessage]:
    """Warn where passwords would cross a network in the clear."""
    if settings.HTTPS or settings.DEBUG or set(settings.ALLOWED_HOSTS) <= LOOPBACK:
        return []
    return [
        checks.Warning(
            "HTTPS is off, and ALLOWED_HOSTS names more than this machine.",
            hint="Put the site behind a proxy that speaks HTTPS, with HTTPS=on and "
            "TRUSTED_PROXIES=1.",
            id="larders.W002",
        )
    ]
