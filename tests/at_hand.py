"""What this machine has for the tests: PostgreSQL, Redis, Chromium."""

import os
import shutil
from dataclasses import dataclass

POSTGRES_URL = os.environ.get("TEST_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
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


def postgres() -> Found:
    """Sign in to PostgreSQL, as the tests would."""
    import psycopg

    try:
        psycopg.connect(POSTGRES_URL, connect_timeout=PATIENCE_SECONDS).close()
    except psycopg.Error as error:
        return Found("PostgreSQL", missing=f"TEST_DATABASE_URL: {str(error).splitlines()[0]}")
    return Found("PostgreSQL", POSTGRES_URL)


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
