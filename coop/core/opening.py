"""Weekly hours on the clocks of a zone."""

from typing import Any


def open_spans(week: Any, zone: Any, window: Any) -> list[Any]:
    """Placeholder until the core helper commits."""
    raise NotImplementedError
