"""Typed readers of the environment: a value that cannot be meant stops the site with a sentence.

An empty variable counts as not set.
"""

import os
from collections.abc import Sequence
from urllib.parse import urlsplit

ON, OFF = {"on", "true", "yes", "1"}, {"off", "false", "no", "0"}


class WrongSetting(ValueError):
    """A setting is missing or cannot be read; the text says which, and what to do."""


def text(name: str, default: str = "") -> str:
    """Read a text."""
    return os.environ.get(name, "").strip() or default


def flag(name: str, *, default: bool) -> bool:
    """Read `on` or `off`; a slip of the keyboard must not turn HTTPS off."""
    value = text(name).lower()
    if value and value not in ON | OFF:
        raise WrongSetting(f"{name} is {value!r}: set it to on or off.")
    return value in ON if value else default


def count(name: str, default: int = 0) -> int:
    """Read a whole number, 0 or more."""
    value = text(name, str(default))
    if not value.isdecimal():
        raise WrongSetting(f"{name} is {value!r}: set it to a whole number, 0 or more.")
    return int(value)


def names(name: str, default: str) -> list[str]:
    """Read names with commas between them."""
    return [part.strip() for part in text(name, default).split(",") if part.strip()]


def site_address(name: str, *, https: bool, hosts: Sequence[str]) -> str:
    """Read the address that links in letters begin with, without a slash at its end.

    Where it is not set, the first of the names that the site is reached by.
    """
    host = hosts[0].lstrip("*.") if hosts else ""
    value = text(name, f"{'https' if https else 'http'}://{host or 'localhost'}").rstrip("/")
    if not _is_whole(value):
        raise WrongSetting(
            f"{name} is {value!r}: write https://, and the name that the site is reached by."
        )
    return value


def _is_whole(address: str) -> bool:
    """Whether it is a scheme and a host, perhaps a port, and nothing else."""
    try:
        parts = urlsplit(address)
        _ = parts.port  # refuses one that is no number
    except ValueError:
        return False
    plain = address.isascii() and not any(letter.isspace() for letter in address)
    rest = parts.path or parts.query or parts.fragment or parts.username
    return plain and parts.scheme in {"http", "https"} and bool(parts.hostname) and not rest
