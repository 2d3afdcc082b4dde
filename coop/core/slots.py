"""Free times between bookings, turnaround included."""

from collections.abc import Iterable, Sequence
from typing import Any


def free_slots(
    busy: Iterable[tuple[Any, Any]], hours: Sequence[tuple[Any, Any]], turnaround: Any, window: Any
) -> list[tuple[Any, Any]]:
    """Placeholder until the core helper commits."""
    raise NotImplementedError
