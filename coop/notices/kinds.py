"""Kinds of notices: each app declares its own, once, in its `AppConfig.ready`.

A member chooses by kind: whether it comes by mail, in the calendar, on the site, and how long
before.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from django.db import models

from coop.core.reminders import Lead


class ByMail(models.TextChoices):
    """Whether and when a kind comes by mail."""

    AT_ONCE = "at_once", "as it comes"
    DAILY = "daily", "in one mail a day"
    NEVER = "never", "no mail"


class InCalendar(models.TextChoices):
    """Whether a kind that can stand in a calendar does, and with an alarm."""

    ALARM = "alarm", "with an alarm"
    SILENT = "silent", "without an alarm"
    OUT = "out", "not in it"


@dataclass(frozen=True)
class Timing:
    """One choice of how long before: its words, and when notices come then."""

    words: str
    leads: tuple[Lead, ...]

    @property
    def code(self) -> str:
        """What is kept of the choice: "-2880m,-360m"."""
        return ",".join(lead.code for lead in self.leads)


@dataclass(frozen=True)
class Kind:
    """One kind of notices.

    `timings`: what a member may choose, the default first; news have one, at once.
    `even_late`: also tells what was due before its cause was known ("asks close in 3 hours", of a
    buy posted just now); else a reminder whose time has passed already is left out.
    `in_calendar`: its matters stand in the calendar feed, with an alarm for each lead; and from the
    day after on too where `stays_in_calendar`, as what took place does.
    `in_inbox`: its notices stand under Notices; not what This week alone says, in its own way.
    `on_this_week`: they stand there, and This week has a row of its own for what they say as long
    as they are to be read, so that its list of notices leaves them out.
    `can_wait`: a day more does no harm, so that one mail a day is enough.
    `example`: what `at` is the moment of, as the page of choices says it ("a load that ended").
    `helps`: how long after `at` telling it helps; None where there is no limit after it.
    `by_hand`: a person wrote it (coop/notices/by_hand.py).
    """

    code: str
    part: str
    words: str
    timings: tuple[Timing, ...]
    by_mail: ByMail = ByMail.AT_ONCE
    even_late: bool = False
    in_calendar: bool = False
    stays_in_calendar: bool = True
    in_inbox: bool = True
    on_this_week: bool = False
    can_wait: bool = False
    example: str = ""
    helps: timedelta | None = None
    by_hand: bool = False


AT_ONCE = (Timing("at once", (Lead(),)),)

_kinds: dict[str, Kind] = {}


def declare(*kinds: Kind) -> None:
    """Make kinds known. A code is used once."""
    for kind in kinds:
        if _kinds.setdefault(kind.code, kind) != kind:
            raise ValueError(f"Two kinds of notices have the code {kind.code}.")


def kind_of(code: str) -> Kind:
    """The kind with a code. Raises KeyError for none."""
    return _kinds[code]


def all_kinds() -> list[Kind]:
    """Every kind, in the order declared, so that those of a part stand together."""
    return list(_kinds.values())
