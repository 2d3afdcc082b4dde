"""The broker that needs no server: a folder, with a file for each message.

Kombu's own transport for folders writes a message where others already look for it. Whoever looks
at that moment, or after its writer was killed, reads half a message, and ends. Here a message is
written beside and moved into its place whole; what is no message after all is passed over; and
what a reader takes, it moves aside by one step on the same disk, so that no two take the same.
"""

from __future__ import annotations

import logging
import time
import uuid
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import filesystem
from kombu.transport.filesystem import exchange_queue_t
from kombu.utils.json import dumps, loads

log = logging.getLogger(__name__)

#: The endings of a file that is being written, and of a message that waits.
UNFINISHED, MESSAGE = ".part", ".msg"


class Channel(filesystem.Channel):
    """Puts messages into the folder, and takes them out."""

    def _put(  # type: ignore[override]  # as Kombu itself names it
        self, queue: str, payload: Any, **kwargs: Any
    ) -> None:
        # In the order of their sending, as far as the clock can tell.
        name = f"{time.time_ns():020}_{uuid.uuid4()}.{queue}{MESSAGE}"
        _write_whole(Path(self.data_folder_out) / name, dumps(payload))

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        folder = Path(self.data_folder_in)
        for path in sorted(folder.glob(f"*.{queue}{MESSAGE}")):
            if path.name.partition(".")[2] != f"{queue}{MESSAGE}":
                continue  # of a queue whose name ends like this one's
            taken = Path(self.processed_folder) / path.name
            try:
                path.rename(taken)
            except OSError:
                continue  # another worker was first
            try:
                return loads(taken.read_text(encoding="utf-8"))
            except ValueError:
                log.warning("A broken message was left out: %s", path.name)
            finally:
                taken.unlink()
        raise Empty

    def get_table(self, exchange: str) -> list[Any]:
        """Which queues an exchange fills; a table that is torn is none."""
        try:
            return list(super().get_table(exchange))
        except ValueError:
            return []

    def _queue_bind(
        self, exchange: str, routing_key: str | None, pattern: str | None, queue: str
    ) -> None:
        bound = exchange_queue_t(routing_key or "", pattern or "", queue or "")
        table = self.get_table(exchange)
        if bound not in table:
            path = self._exchange_file(exchange)  # type: ignore[attr-defined]  # missing in types
            _write_whole(path, dumps([bound, *table]))


def _write_whole(path: Path, text: str) -> None:
    """Write a file that is there whole, or not at all."""
    beside = path.with_name(f"{uuid.uuid4()}{UNFINISHED}")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


class Transport(filesystem.Transport):
    """Kombu's transport for folders, with the channel above."""

    Channel = Channel
