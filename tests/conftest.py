"""What every test stands on: the database, the services, the browser, and no network."""

import ipaddress
import json
import os
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache
from hypothesis import settings as hypothesis_settings
from redis import Redis

from tests import at_hand, emptying

ON_POSTGRES = "postgresql" in settings.DATABASES["default"]["ENGINE"]
POSTGRES_FOLLOWS = os.environ.get("POSTGRES_FOLLOWS", "") not in {"", "0"}
REQUIRE_ALL = os.environ.get("REQUIRE_ALL", "") not in {"", "0"}
LEFT_OUT = "left out, no "
MARKED_BY = {"redis_url": "redis", "browser": "browser"}
LONG = ("browser", "slow")
DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}

# A busy machine is slow, and slow is not wrong.
hypothesis_settings.register_profile("larders", deadline=None, max_examples=60)
hypothesis_settings.load_profile("larders")


# ---- Which tests run ------------------------------------------------------------------------
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """On PostgreSQL run again what touches the database; elsewhere all but what needs it."""
    for item in items:
        for fixture, marker in MARKED_BY.items():
            if fixture in getattr(item, "fixturenames", ()):
                item.add_marker(marker)
    left = [item for item in items if not _belongs(item)]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if _belongs(item)]
    items[:] = _longest_first(items, getattr(config, "workerinput", {}).get("workercount", 1))


def _longest_first(items: list[pytest.Item], workers: int) -> list[pytest.Item]:
    """What takes seconds comes first at each worker, so that none waits for one long test at last.

    Each worker begins with as many of the tests, in their order, as any other.
    """
    kinds: dict[bool, list[pytest.Item]] = {True: [], False: []}
    for item in items:
        kinds[any(map(item.get_closest_marker, LONG))].append(item)
    long, short = kinds[True], kinds[False]
    return [
        item
        for worker in range(workers)
        for item in (*long[worker::workers], *short[worker::workers])
    ]


def _belongs(item: pytest.Item) -> bool:
    if not ON_POSTGRES:
        left = {"postgres", "either"} if POSTGRES_FOLLOWS else {"postgres"}
        return not any(map(item.get_closest_marker, left))
    if item.get_closest_marker("sqlite"):
        return False
    fixtures = set(getattr(item, "fixturenames", ()))
    return bool(
        item.get_closest_marker("postgres")
        or item.get_closest_marker("django_db")
        or fixtures & DATABASE_FIXTURES
    )


# ---- What is told at the end ----------------------------------------------------------------
def pytest_report_header() -> str:
    """Say which database is under test."""
    return f"database: {'PostgreSQL' if ON_POSTGRES else 'SQLite'}"


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Name what was left out, and leave the counts for `manage.py test` to add up."""
    stats = terminalreporter.stats
    reasons = {str(report.longrepr[2]) for report in stats.get("skipped", [])}
    for reason in sorted(reason for reason in reasons if LEFT_OUT in reason):
        terminalreporter.write_line(reason.removeprefix("Skipped: ").capitalize(), yellow=True)
    if path := os.environ.get("COUNTS_FILE"):
        counts = {name: len(stats.get(name, [])) for name in ("passed", "failed", "skipped")}
        counts["failed"] += len(stats.get("error", []))
        Path(path).write_text(json.dumps(counts), encoding="utf-8")


def need(found: at_hand.Found) -> str:
    """Return where a service is; without it the test is left out, or fails if all is required."""
    if found.missing:
        sentence = f"{LEFT_OUT}{found.name}: {found.missing}"
        pytest.fail(sentence) if REQUIRE_ALL else pytest.skip(sentence)
    return found.place


# ---- The ground -----------------------------------------------------------------------------
@pytest.fixture(scope="session", autouse=True)
def nothing_leaves_this_machine() -> Iterator[None]:
    """Refuse every connection but to this machine."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if self.family in {socket.AF_INET, socket.AF_INET6} and not _is_here(address[0]):
            raise PermissionError(f"A test reached for {address[0]}: tests use no network.")
        connect(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", guarded)
        yield


def _is_here(host: str) -> bool:
    return host == "localhost" or ipaddress.ip_address(host).is_loopback


@pytest.fixture(autouse=True)
def fresh_cache() -> None:
    """Forget the sign-ins counted by the test before."""
    cache.clear()


@pytest.fixture(scope="session", autouse=True)
def emptied_between_tests() -> Iterator[None]:
    """Let the clean-up after a test delete what the database's own rules keep for good."""
    with pytest.MonkeyPatch.context() as patch:
        emptying.allow(patch)
        yield


# ---- Services -------------------------------------------------------------------------------
@pytest.fixture
def redis_url(worker_id: str) -> Iterator[str]:
    """An empty Redis for this test; each process of the run has a database of its own."""
    url, _, number = need(at_hand.redis()).rpartition("/")
    mine = f"{url}/{int(number) - int(worker_id.removeprefix('gw').replace('master', '0'))}"
    with Redis.from_url(mine) as server:
        server.flushdb()
        yield mine
        server.flushdb()


# ---- The browser ----------------------------------------------------------------------------
@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One Chromium for the whole run, which knows no host but this machine."""
    from playwright.sync_api import sync_playwright

    path = need(at_hand.chromium())
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # Playwright keeps an event loop in this thread, though nothing here runs inside it.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        chromium = playwright.chromium.launch(executable_path=path, args=at_hand.BROWSER_ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture
def new_page(browser: Any, live_server: Any) -> Iterator[Callable[..., Any]]:
    """Open a page for one more person, each with cookies of their own.

    What goes wrong in a page (a script error, a refusal by the content policy) fails the test.
    """
    contexts, troubles = [], []

    def opened(*, width: int = 1280, height: int = 900, **options: Any) -> Any:
        viewport = {"width": width, "height": height}
        context = browser.new_context(base_url=live_server.url, viewport=viewport, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", lambda note: troubles.append(note.text) if _is_bad(note) else None)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not troubles


def _is_bad(note: Any) -> bool:
    # A refused form answers 422, an absent page 404: the browser notes both, and both are right.
    return note.type == "error" and "the server responded with a status of" not in note.text


@pytest.fixture
def page(new_page: Callable[..., Any]) -> Any:
    """A page at the width of a desk."""
    return new_page()
