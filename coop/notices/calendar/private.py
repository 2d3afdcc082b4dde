"""Keeps the secret in the address of a calendar out of what the site writes down."""

from __future__ import annotations

import logging
import re

#: Those that write down addresses: refusals and errors, forged forms, and the lines of the servers.
LOGGERS = ("django.request", "django.security.csrf", "django.server", "waitress")
SECRET = re.compile(r"(/feeds/)[^/\s?]+")


class WithoutSecrets(logging.Filter):
    """Lets every line through, less the secrets."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Put three dots in place of each secret."""
        if isinstance(record.args, tuple):
            record.args = tuple(_hidden(each) for each in record.args)
        record.msg = _hidden(record.msg)
        return True


def _hidden(value: object) -> object:
    return SECRET.sub(r"\1...", value) if isinstance(value, str) else value


def register() -> None:
    """Set it before the site's own logs; called once, when the app is ready."""
    hiding = WithoutSecrets()
    for name in LOGGERS:
        logging.getLogger(name).addFilter(hiding)
