"""What loads and lots have to say on This week."""

from __future__ import annotations


def register() -> None:
    """Put this part into This week; called once, when the app is ready."""
