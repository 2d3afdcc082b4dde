"""The demo, loaded once for a module whose tests mostly look at it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import time_machine
from django.db import transaction

from coop.kitchen.demo.load import load_demo
from tests.web.factories import NOW


@contextmanager
def loaded_demo(blocker: Any) -> Iterator[None]:
    """Load it inside a transaction that is undone at the end. `blocker` is django_db_blocker."""
    with blocker.unblock(), transaction.atomic():
        with time_machine.travel(NOW, tick=False):
            load_demo()
        yield
        transaction.set_rollback(True)
