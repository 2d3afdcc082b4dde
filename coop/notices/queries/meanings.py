"""What a member's choice comes to, in words and by an example."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from coop.core import moments
from coop.core.figures import join_words
from coop.core.reminders import next_at
from coop.notices.kinds import ByMail, InCalendar, Kind
from coop.notices.models import Matter
from coop.notices.planning import Wanted, times_of
from coop.notices.queries.choices import Chosen, is_timed
from coop.people.models import Member

#: An example for a kind of which nothing is to come: a Saturday so many days from now, at eight.
FAR_ENOUGH, EXAMPLE_CLOCK, SATURDAY = 3, time(8), 5
LONG_BEFORE = timedelta(days=366)
NOT_TOLD = "not told"
IN_CALENDAR: dict[str, str] = {
    InCalendar.ALARM: "an alarm in the calendar",
    InCalendar.SILENT: "in the calendar",
    InCalendar.OUT: "",
}


@dataclass(frozen=True)
class Meaning:
    """What a choice comes to.

    `how`: in a few words. `example`: when one would come; empty where there is nothing to say.
    """

    how: str
    example: str = ""


@dataclass
class Meanings:
    """The words for every kind of what a member has chosen."""

    member: Member
    chosen: Chosen
    now: datetime
    _next: dict[str, Matter] = field(default_factory=dict)

    def read(self) -> Meanings:
        """Look up what is to come next of each kind, for examples. One query."""
        member = self.member
        concerned = Q(household=member.household_id) | Q(member=member.pk)
        if member.roles:
            concerned |= Q(role__in=member.roles)
        to_come = Matter.objects.filter(
            concerned, coop=member.coop_id, dropped_at=None, at__gt=self.now
        )
        for matter in to_come.order_by("-at", "-pk"):
            self._next[matter.kind] = matter
        return self

    def of(self, kind: Kind) -> Meaning:
        """What is chosen of one kind, in words."""
        wanted = self.chosen.wanted(kind)
        ways = self._ways(kind, wanted)
        if not ways:
            return Meaning(NOT_TOLD)
        words = ", ".join(ways if wanted.by_mail is not ByMail.NEVER else [*ways, "no mail"])
        if not is_timed(kind):
            return Meaning(words)
        return Meaning(f"{_timing(kind, wanted)}: {words}", self._example(kind, wanted))

    def _ways(self, kind: Kind, wanted: Wanted) -> list[str]:
        ways = {
            ByMail.AT_ONCE: "by mail",
            ByMail.DAILY: f"in the mail of {wanted.daily_at.hour}:{wanted.daily_at.minute:02}",
            ByMail.NEVER: "",
        }
        site = "on This week" if not kind.in_inbox else "on the site" if wanted.on_site else ""
        calendar = IN_CALENDAR[self.chosen.choice_of(kind).calendar] if kind.in_calendar else ""
        return [way for way in (ways[wanted.by_mail], site, calendar) if way]

    def _example(self, kind: Kind, wanted: Wanted) -> str:
        """Of what is to come next and is told at all; else of some Saturday."""
        zone = ZoneInfo(self.member.coop.time_zone)
        if matter := self._next.get(kind.code):
            times = times_of(matter, wanted, zone, known=matter.made_at, even_late=kind.even_late)
            if times:
                were = "are" if any(due > self.now for due, _ in times) else "were"
                return f"{matter.title}. You {were} told {_times_said(times, zone)}."
        at = _example_moment(self.now, zone)
        matter = Matter(at=at, until=at + kind.helps if kind.helps else None)
        times = times_of(matter, wanted, zone, known=at - LONG_BEFORE, even_late=kind.even_late)
        what = f"For {kind.example} {moments.at(at, zone)}"
        return f"{what} you are told {_times_said(times, zone)}."


def _timing(kind: Kind, wanted: Wanted) -> str:
    return next(timing.words for timing in kind.timings if timing.leads == wanted.leads)


def _example_moment(now: datetime, zone: ZoneInfo) -> datetime:
    from_day = now.astimezone(zone) + timedelta(days=FAR_ENOUGH)
    night = from_day.replace(hour=0) + timedelta(days=(SATURDAY - from_day.weekday()) % 7)
    return next_at(EXAMPLE_CLOCK, night, zone)


def _times_said(times: list[tuple[datetime, datetime | None]], zone: ZoneInfo) -> str:
    """When the site tells it, and when mail does where that is at other times."""
    told = _said([due for due, _ in times], zone)
    mail = _said([mail_at for _, mail_at in times if mail_at], zone)
    return told if mail in ("", told) else f"{told}; by mail {mail}"


def _said(times: list[datetime], zone: ZoneInfo) -> str:
    """Moments in their order, the same one once."""
    return join_words(dict.fromkeys(moments.at(each, zone) for each in sorted(times)))
