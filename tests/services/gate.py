"""A gate before a server: while it is shut, the server cannot be reached, as if it were down."""

import socket
import threading
from contextlib import suppress

PIECE = 65536


class Gate:
    """Listens on a port of its own and passes everything on to a server, until it is shut."""

    def __init__(self, host: str, port: int) -> None:
        self.server = (host, port)
        with socket.create_server(("127.0.0.1", 0)) as probe:
            self.port = probe.getsockname()[1]
        self.lines: list[socket.socket] = []
        self.listener: socket.socket | None = None

    def open(self) -> None:
        """Let everybody through."""
        self.listener = socket.create_server(("127.0.0.1", self.port))
        threading.Thread(target=self._let_in, args=(self.listener,), daemon=True).start()

    def shut(self) -> None:
        """Let nobody through, and cut off who is inside."""
        listener, self.listener = self.listener, None
        for line in (listener, *self.lines):
            _cut(line)
        self.lines = []

    def _let_in(self, listener: socket.socket) -> None:
        with suppress(OSError):
            while True:
                outside, _ = listener.accept()
                inside = socket.create_connection(self.server)
                self.lines += [outside, inside]
                if self.listener is not listener:  # shut a moment ago
                    _cut(outside)
                for pair in ((outside, inside), (inside, outside)):
                    threading.Thread(target=_pass_on, args=pair, daemon=True).start()


def _pass_on(source: socket.socket, target: socket.socket) -> None:
    with suppress(OSError):
        while piece := source.recv(PIECE):
            target.sendall(piece)
    _cut(source)
    _cut(target)


def _cut(line: socket.socket | None) -> None:
    if line is not None:
        with suppress(OSError):
            line.shutdown(socket.SHUT_RDWR)
        line.close()
