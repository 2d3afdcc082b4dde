"""Typed readers of the environment: a value that cannot be meant stops the site with a sentence.

An empty variable counts as not set.
"""

import os

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
