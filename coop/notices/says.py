"""What an app says: one thing to tell, to whom, about which moment, in which words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from coop.people.models import ROLES, Household, Member


@dataclass(frozen=True)
class Role:
    """Everybody in the co-op with a role, whoever that is when it is told."""

    name: str

    def __post_init__(self) -> None:
        if self.name not in ROLES:
            raise ValueError(f"{self.name} is no role.")


Audience = Household | Member | Role


@dataclass(frozen=True)
class Say:
    """One thing to tell.

    `key` tells it from all else that its cause says, and stays the same when it moves. `at` is the
    moment that it is about; the member's choice says how long before. After `until` telling it
    helps nobody; without it a reminder's limit is `at`, and news have none. Times are said in
    absolute words ("Sat 15 Aug at 8:00"): they are read later than they are written. `not_to` is
    who did what it tells, and needs no word of it.
    """

    key: str
    kind: str
    to: Audience
    at: datetime
    title: str
    to_do: str
    path: str
    button: str = "Open it"
    details: tuple[str, ...] = ()
    ends_at: datetime | None = None
    until: datetime | None = None
    where: str = ""
    not_to: Member | None = None

    @property
    def not_to_id(self) -> int | None:
        """The key of who needs no word of it; None for nobody."""
        return self.not_to.pk if self.not_to else None
