"""What this machine has for the tests: Redis, Chromium."""

import os
import shutil
from dataclasses import dataclass

REDIS_URL = os.environ.get("TEST_REDIS_URL", "redis://127.0.0.1:6379/15")
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER_ARGUMENTS = [
    "--no-sandbox",  # Chromium has none for root, and these pages are ours
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
]
PATIENCE_SECONDS = 3


@dataclass(frozen=True)
class Found:
    """One thing that some tests need: `place` is empty where it is missing."""

    name: str
    place: str = ""
    missing: str = ""


def redis() -> Found:
    """Ask Redis whether it is there."""
    import redis as client

    try:
        with client.Redis.from_url(REDIS_URL, socket_connect_timeout=PATIENCE_SECONDS) as server:
            server.ping()
    except client.RedisError as error:
        return Found("Redis", missing=f"TEST_REDIS_URL: {error}")
    return Found("Redis", REDIS_URL)


def chromium() -> Found:
    """Find Debian's Chromium, or one that goes by another name."""
    for name in BROWSERS:
        if path := shutil.which(name):
            return Found("Chromium", path)
    return Found("Chromium", missing=f"none of {', '.join(BROWSERS)} is on the PATH")
