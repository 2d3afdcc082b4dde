"""Several people act at one moment, each over a connection of their own."""

import threading
from concurrent.futures import ThreadPoolExecutor

from django.db import connection, connections

from coop.people.errors import Refused


def at_once(*acts):
    """Do the acts at one moment, each over its own connection; the names of what they came to."""
    barrier = threading.Barrier(len(acts), timeout=20)

    def run(act):
        try:
            connection.ensure_connection()
            barrier.wait()
            act()
        except Refused as refusal:
            return type(refusal).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return sorted(pool.map(run, acts))
