"""Ports of this machine that nobody uses."""

import socket


def free_port() -> int:
    """Return a port that was free a moment ago."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]
