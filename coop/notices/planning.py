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
        """Whom a matter is told."""
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
        wishes = self._wishes.get(member.pk) or Wishes(member=member)
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


#: Of the notices that the site shows already: whose, for which lead, since when.
Shown = Mapping[tuple[int, str], datetime]


def plan(matter: Matter, readers: Readers, *, shown: Shown, now: datetime) -> Iterator[Planned]:
    """The notices of a matter as they ought to be from `now` on.

    What is shown already stays. What was due before it could be told is told now where the kind
    says so, once, and only to a member who was not told of the matter before.
    """
    kind = kind_of(matter.kind)
    told = {member_id for member_id, _ in shown}
    for member in readers.of(matter):
        late: Planned | None = None
        wanted = readers.wanted(member, kind)
        for lead in wanted.leads:
            due = shown.get((member.pk, lead.code)) or _due(matter, lead, readers.zone, now)
            planned = _planned(matter, member, lead, due, wanted=wanted, zone=readers.zone, now=now)
            if due >= now or (member.pk, lead.code) in shown:
                yield planned
            elif kind.even_late and (planned.limit is None or planned.limit > now):
                mail_at = mail_time(now, planned.limit, wanted, zone=readers.zone, now=now)
                late = replace(planned, due_at=now, mail_at=mail_at)
        if late and member.pk not in told:
            yield late


def _due(matter: Matter, lead: Lead, zone: ZoneInfo, now: datetime) -> datetime:
    due = lead.of(matter.at, zone)
    is_news = lead == Lead() and now - NEWS_LAST <= due
    return max(due, now) if is_news else due


def _planned(
    matter: Matter,
    member: Member,
    lead: Lead,
    due: datetime,
    *,
    wanted: Wanted,
    zone: ZoneInfo,
    now: datetime,
) -> Planned:
    limit = matter.until or (matter.at if lead.of(matter.at, zone) < matter.at else None)
    return Planned(
        member=member,
        lead=lead.code,
        limit=limit,
        due_at=due,
        on_site=wanted.on_site,
        mail_at=mail_time(due, limit, wanted, zone=zone, now=now),
    )


def mail_time(
    due: datetime, limit: datetime | None, wanted: Wanted, *, zone: ZoneInfo, now: datetime
) -> datetime | None:
    """When mail goes out for what is due at `due` and helps until `limit`; None for no mail."""
    if wanted.by_mail is ByMail.NEVER:
        return None
    daily = next_at(wanted.daily_at, due, zone)
    if wanted.by_mail is ByMail.DAILY and (limit is None or daily <= limit):
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
