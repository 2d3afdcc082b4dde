"""From a matter to notices: for each member whom it concerns, when the site and a mail tell it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from coop.core.reminders import Lead, Quiet, lead_of, next_at
from coop.notices.kinds import ByMail, Kind, kind_of
from coop.notices.models import Choice, Matter, Notice, Wishes
from coop.people.models import ROLES, Coop, Member

#: News older than this when they are first written down are history, and not told.
NEWS_LAST = timedelta(days=1)


@dataclass(frozen=True)
class Wanted:
    """How a member wants one kind, and all mail."""

    by_mail: ByMail
    on_site: bool
    leads: tuple[Lead, ...]
    quiet: Quiet | None
    daily_at: time


@dataclass(frozen=True)
class Planned:
    """One notice as it ought to be: when the site shows it, and when mail goes out, if any.

    After `limit` telling it helps nobody.
    """

    member: Member
    lead: str
    limit: datetime | None
    due_at: datetime
    on_site: bool
    mail_at: datetime | None


@dataclass
class Readers:
    """The members of a co-op and what they want, read once, and only where it is needed.

    `only`: leave all others out.
    """

    coop: Coop
    only: Member | None = None
    _wishes: dict[int, Wishes] = field(default_factory=dict)
    _choices: dict[tuple[int, str], Choice] = field(default_factory=dict)

    @cached_property
    def zone(self) -> ZoneInfo:
        """The co-op's zone."""
        return ZoneInfo(self.coop.time_zone)

    @cached_property
    def _members(self) -> list[Member]:
        members = Member.objects.filter(coop=self.coop, left_at=None)
        if self.only:
            members = members.filter(pk=self.only.pk)
        listed = list(members)
        self._wishes = {
            wishes.member_id: wishes for wishes in Wishes.objects.filter(member__in=listed)
        }
        self._choices = {
            (choice.member_id, choice.kind): choice
            for choice in Choice.objects.filter(member__in=listed)
        }
        return listed

    @cached_property
    def _households(self) -> dict[int, list[Member]]:
        grouped: dict[int, list[Member]] = defaultdict(list)
        for member in self._members:
            grouped[member.household_id].append(member)
        return grouped

    def of(self, matter: Matter) -> list[Member]:
        """Whom a matter is told: all whom it concerns, but for who did what it tells."""
        return [each for each in self._concerned(matter) if each.pk != matter.not_to_id]

    def _concerned(self, matter: Matter) -> list[Member]:
        if matter.household_id:
            return self._households.get(matter.household_id, [])
        if matter.member_id:
            return [member for member in self._members if member.pk == matter.member_id]
        if matter.role not in ROLES:
            return []
        return [member for member in self._members if getattr(member, matter.role)]

    def wanted(self, member: Member, kind: Kind) -> Wanted:
        """What a member chose, or the defaults."""
        choice = self._choices.get((member.pk, kind.code))
        wishes = self._wishes.get(member.pk) or Wishes()
        quiet = Quiet(wishes.quiet_from, wishes.quiet_to) if wishes.quiet else None
        return Wanted(
            by_mail=ByMail(choice.by_mail) if choice else kind.by_mail,
            on_site=choice.on_site if choice else True,
            leads=leads_chosen(kind, choice),
            quiet=quiet,
            daily_at=wishes.daily_at,
        )


def leads_chosen(kind: Kind, choice: Choice | None) -> tuple[Lead, ...]:
    """When a kind is told: as the member chose, else as the kind has it by default."""
    if choice and choice.timing in {timing.code for timing in kind.timings}:
        return tuple(lead_of(code) for code in choice.timing.split(","))
    return kind.timings[0].leads


#: The notices of one matter as they are: by member and lead.
Standing = Mapping[tuple[int, str], Notice]


def plan(
    matter: Matter, readers: Readers, *, standing: Standing, now: datetime
) -> Iterator[Planned]:
    """The notices of a matter as they ought to be from `now` on.

    What is shown already stays as it is shown, and brings no mail where none was to come of it.
    What was due before it could be told is told now where the kind says so, once, and only to a
    member who was not told of the matter before. What would help nobody any more is left out.
    """
    kind = kind_of(matter.kind)
    for member in readers.of(matter):
        timing = _Timing(matter, readers.wanted(member, kind), readers.zone, now)
        rows = {lead: row for (who, lead), row in standing.items() if who == member.pk}
        yield from _plan_for(member, timing, rows, even_late=kind.even_late)
        yield from _shown_before(member, timing, rows, kind)


def _shown_before(
    member: Member, timing: _Timing, rows: Mapping[str, Notice], kind: Kind
) -> Iterator[Planned]:
    """What the site shows for a lead that was chosen before: its mail may wait for the morning."""
    others = {lead for each in kind.timings for lead in each.leads}.difference(timing.wanted.leads)
    for lead in others:
        row = rows.get(lead.code)
        if row and row.due_at <= timing.now:
            yield timing.as_shown(member, lead, row)


def _plan_for(
    member: Member, timing: _Timing, rows: Mapping[str, Notice], *, even_late: bool
) -> Iterator[Planned]:
    """The notices of one matter to one member, whose standing ones are there by lead."""
    late: Planned | None = None
    now = timing.now
    for lead in timing.wanted.leads:
        row = rows.get(lead.code)
        if row and row.due_at <= now:
            yield timing.as_shown(member, lead, row)
            continue
        planned = timing.planned(member, lead, row)
        if planned.limit is not None and planned.limit <= max(planned.due_at, now):
            continue
        if planned.due_at >= now:
            yield planned
        elif even_late:
            late = timing.late(planned)
    if late and not any(row.due_at <= now for row in rows.values()):
        yield late


@dataclass(frozen=True)
class _Timing:
    """When one member is told of one matter, at one moment."""

    matter: Matter
    wanted: Wanted
    zone: ZoneInfo
    now: datetime

    def planned(self, member: Member, lead: Lead, row: Notice | None) -> Planned:
        """What is still to come; of what had to go out by now that is so still."""
        due, limit = self._due(lead), self._limit(lead)
        known = self.now if row is None or row.mail_at is None else min(row.mail_at, self.now)
        mail_at = self._mail_at(due, limit, known)
        return Planned(member, lead.code, limit, due, self.wanted.on_site, mail_at)

    def late(self, planned: Planned) -> Planned:
        """What was due before, now."""
        mail_at = self._mail_at(self.now, planned.limit, self.now)
        return replace(planned, due_at=self.now, mail_at=mail_at)

    def as_shown(self, member: Member, lead: Lead, row: Notice) -> Planned:
        """What the site shows already, and when its mail goes out if that waits.

        What was read there before a letter carried it needs none.
        """
        limit, mail_at = self._limit(lead), row.mail_at
        if row.read_at and row.mail is None:
            mail_at = None
        elif mail_at is not None:
            mail_at = self._mail_at(row.due_at, limit, min(mail_at, self.now))
        return Planned(member, lead.code, limit, row.due_at, row.on_site, mail_at)

    def _mail_at(self, due: datetime, limit: datetime | None, known: datetime) -> datetime | None:
        """When mail goes out; what is told before its moment comes before it.

        Telling it may help for longer: a pickup has two hours, say.
        """
        at = self.matter.at
        if due < at and (limit is None or at < limit):
            limit = at
        return mail_time(due, limit, self.wanted, zone=self.zone, now=known)

    def _due(self, lead: Lead) -> datetime:
        due = lead.of(self.matter.at, self.zone)
        is_news = lead == Lead() and self.now - NEWS_LAST <= due
        return max(due, self.now) if is_news else due

    def _limit(self, lead: Lead) -> datetime | None:
        if self.matter.until:
            return self.matter.until
        return self.matter.at if lead.of(self.matter.at, self.zone) < self.matter.at else None


def times_of(
    matter: Matter, wanted: Wanted, zone: ZoneInfo, *, known: datetime, even_late: bool
) -> list[tuple[datetime, datetime | None]]:
    """When the site tells a matter that is known from a moment on, and when mail does, if any.

    By the same rules as `plan`, for a member who was not told of it before.
    """
    planned = _plan_for(Member(), _Timing(matter, wanted, zone, known), {}, even_late=even_late)
    return [(each.due_at, each.mail_at) for each in planned]


def mail_time(
    due: datetime, limit: datetime | None, wanted: Wanted, *, zone: ZoneInfo, now: datetime
) -> datetime | None:
    """When mail goes out for what is due at `due` and helps until `limit`; None for no mail.

    What cannot wait for the one mail a day comes by itself. The member set the hour of that mail,
    so it asks for no quiet hours.
    """
    if wanted.by_mail is ByMail.NEVER:
        return None
    daily = next_at(wanted.daily_at, due, zone)
    if wanted.by_mail is ByMail.DAILY and (limit is None or daily < limit):
        return daily
    if wanted.quiet is None:
        return due
    return wanted.quiet.outside(due, zone, until=limit, earliest=now)


def as_row(planned: Planned, matter: Matter, now: datetime) -> Notice:
    """The notice to write down."""
    return Notice(
        matter=matter,
        member=planned.member,
        lead=planned.lead,
        due_at=planned.due_at,
        on_site=planned.on_site,
        mail_at=planned.mail_at,
        made_at=now,
    )
