"""How often somebody may do what sends mail or makes accounts, within a window of time."""

from __future__ import annotations

from hashlib import sha256

from django.core.cache import cache

from coop.people.errors import TooMany

HOUR_SECONDS = 3600
DAY_SECONDS = 24 * HOUR_SECONDS


def spend(key: str, *, at_most: int, seconds: int) -> None:
    """Count one more of `key`. Raises TooMany past `at_most` in a window of `seconds`.

    The count lives in the cache: with several processes and no Redis each counts by itself, so the
    true limit is then that many times higher. That is still a limit, and all it protects is mail.
    """
    # An address may hold what a cache's key may not.
    key = "limit:" + sha256(key.encode()).hexdigest()
    cache.add(key, 0, seconds)
    try:
        count = cache.incr(key)
    except ValueError:  # it ran out in between
        return
    if count > at_most:
        raise TooMany("That was many times in a short while. Wait a little, then try again.")
