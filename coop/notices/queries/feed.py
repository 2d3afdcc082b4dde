"""What stands in a member's calendar, and how it is known that nothing of it has changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from hashlib import sha256

from django.conf import settings
from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.http import Http404

from coop.notices.calendar.calendars import Alarms
from coop.notices.kinds import InCalendar, Kind, all_kinds
from coop.notices.models import Choice, Matter, Wishes
from coop.notices.planning import leads_chosen
from coop.people.changes import topic
from coop.people.models import Change, Member

#: How far back a calendar goes.
GOES_BACK = timedelta(days=60)
#: To be counted up whenever the same rows are to give another calendar.
EDITION = 3
#: A change is given as the last one only when it has stood so long: what is younger may be followed
#: by another in the same second, or by one that began before it.
SETTLED = timedelta(minutes=1)


#: Of a matter: its key, its sequence, when it changed and when it was dropped.
Row = tuple[int, int, datetime, datetime | None]


@dataclass(frozen=True)
class FeedState:
    """How a member's calendar stands, without its words.

    `matters`: keys of the rows. `etag` differs whenever a byte of the calendar would.
    `changed_at`: when it last changed, at the earliest to be sure; None for too short a while ago.
    """

    matters: list[int]
    alarms: Alarms
    first_year: int
    etag: str
    changed_at: datetime | None


def member_of_feed(secret: str) -> Member:
    """Whose calendar an address opens. One query; a 404 for all that it does not open."""
    member = (
        Member.objects.select_related("coop", "household", "wishes")
        .filter(wishes__feed_secret=secret, left_at=None, user__is_active=True)
        .first()
    )
    if member is None:
        raise Http404
    return member


def alarms_of(member: Member) -> Alarms:
    """When a member wants an alarm, for the kinds that have any. One query."""
    return _alarms(_choices(member))


def _alarms(choices: Iterable[tuple[Kind, Choice | None]]) -> Alarms:
    return {
        kind.code: leads_chosen(kind, choice)
        for kind, choice in choices
        if choice is None or choice.calendar == InCalendar.ALARM
    }


def _choices(member: Member) -> list[tuple[Kind, Choice | None]]:
    """The kinds that stand in calendars, each with what the member chose, if anything."""
    chosen = {choice.kind: choice for choice in Choice.objects.filter(member=member)}
    return [(kind, chosen.get(kind.code)) for kind in all_kinds() if kind.in_calendar]


def latest_for(member: Member) -> QuerySet[Matter]:
    """The matters that concern a member and stand in calendars: of each key the latest row.

    A row that was dropped and made anew is one and the same to a calendar.
    """
    concerned = Q(household=member.household_id) | Q(member=member.pk)
    if member.roles:
        concerned |= Q(role__in=member.roles)
    codes = [kind.code for kind in all_kinds() if kind.in_calendar]
    mine = Matter.objects.filter(concerned, coop=member.coop_id)
    later = mine.filter(about=OuterRef("about"), key=OuterRef("key"), pk__gt=OuterRef("pk"))
    return mine.filter(~Exists(later), kind__in=codes)


def state_of(member: Member, now: datetime) -> FeedState:
    """How the calendar of a member stands. Three queries, none of them for words."""
    since, choices = _day_of(now - GOES_BACK), _choices(member)
    reaches = Q(at__gte=since) | Q(ends_at__gte=since)
    rows = list(
        latest_for(member)
        .filter(reaches, ~_left_out(choices, now))
        .order_by("pk")
        .values_list("pk", "sequence", "changed_at", "dropped_at")
    )
    alarms, first_year = _alarms(choices), since.year - 1
    return FeedState(
        matters=[row[0] for row in rows],
        alarms=alarms,
        first_year=first_year,
        etag=_etag(member, rows, alarms, first_year),
        changed_at=_changed_at(member, [row[2] for row in rows], now),
    )


def _left_out(choices: Iterable[tuple[Kind, Choice | None]], now: datetime) -> Q:
    """What the member wants out of it, and from the day after on what does not stay in it."""
    out = [kind.code for kind, choice in choices if choice and choice.calendar == InCalendar.OUT]
    passing = [kind.code for kind in all_kinds() if not kind.stays_in_calendar]
    return Q(kind__in=out) | Q(kind__in=passing, at__lt=_day_of(now))


def _day_of(moment: datetime) -> datetime:
    """When its day began in UTC: what grows too old goes then, for all co-ops at once."""
    return datetime.combine(moment.astimezone(UTC), time.min, UTC)


def _etag(member: Member, rows: list[Row], alarms: Alarms, first_year: int) -> str:
    coop = member.coop
    told = [EDITION, settings.SITE_ADDRESS, coop.name, coop.time_zone, first_year]
    leads = [(code, [lead.code for lead in each]) for code, each in sorted(alarms.items())]
    return f'"{sha256(repr((told, leads, rows)).encode()).hexdigest()[:32]}"'


def _changed_at(member: Member, moments: list[datetime], now: datetime) -> datetime | None:
    """The last moment at which anything in the calendar may have changed. One query.

    Each day begins with one, since matters grow too old then; a role brings others, and the co-op
    may have another name or zone: both stand in the history.
    """
    causes = [topic(member.household), topic(member.coop)]
    history = Change.objects.filter(coop=member.coop_id, about__in=causes)
    written = history.aggregate(last=Max("at"))["last"]
    found = [_day_of(now), member.wishes.changed_at, *moments, *([written] if written else [])]
    last = max(found)
    return last if last <= now - SETTLED else None


def matters_of(member: Member, state: FeedState) -> QuerySet[Matter]:
    """The matters of a calendar in the order of time. One query."""
    return Matter.objects.filter(coop=member.coop_id, pk__in=state.matters).order_by("at", "pk")


def event_about(member: Member, about: str) -> Matter | None:
    """What stands in a member's calendar of a cause, as "booking:12"; None where nothing does."""
    return latest_for(member).filter(about=about).select_related("coop").order_by("-pk").first()


def secret_of(member: Member) -> str:
    """The secret part of the address of a member's calendar; empty where it has none."""
    secrets = Wishes.objects.filter(member=member).values_list("feed_secret", flat=True)
    return secrets.first() or ""


def alarm_words(member: Member) -> list[tuple[str, str]]:
    """What stands in a member's calendar, and when each has its alarm, in words. One query."""
    return [(kind.words, _when(kind, choice)) for kind, choice in _choices(member)]


def _when(kind: Kind, choice: Choice | None) -> str:
    """The words of the timing chosen; "no alarm", or that it does not stand there, as chosen."""
    if choice and choice.calendar != InCalendar.ALARM:
        return "no alarm" if choice.calendar == InCalendar.SILENT else "left out, as you chose"
    chosen = leads_chosen(kind, choice)
    words = next(timing.words for timing in kind.timings if timing.leads == chosen)
    return f"alarm {words}"
