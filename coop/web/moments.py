"""How moments are written, for templates and views. They are in the core: actions say them too."""

from coop.core.moments import EVENING, clock, day, day_said, local, span, when

__all__ = ["EVENING", "clock", "day", "day_said", "local", "span", "when"]
