"""Plays what the members of the demo were told: letters that went out, and what they have read.

No mail is sent. The letters stand as they would if they had gone out minute by minute, so that
nothing old is sent once the site runs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from django.db.models import F, QuerySet

from coop.buying.models import Buy
from coop.kitchen.demo.script import Event, KitchenScript, Part, Stage
from coop.notices.actions.writing import Letter, write
from coop.notices.circles import concern_for
from coop.notices.mailing.claiming import is_too_late
from coop.notices.models import Mail, Notice
from coop.notices.queries.inbox import to_read

MINUTE = timedelta(minutes=1)
READ_AFTER = timedelta(hours=2)


def letter_events(script: KitchenScript, stage: Stage) -> Iterator[Event]:
    """Every letter that somebody writes, with its moment."""
    for part in script.notices["letter"]:
        yield stage.moment(part), partial(_write, part, stage)


def _write(part: Part, stage: Stage) -> None:
    by = stage.members[part["by"]]
    buy = Buy.objects.get(coop=stage.coop, title=part["buy"])
    letter = Letter(part["title"], part["text"].strip(), part["part"])
    write(concern_for(by, "buy", buy.pk), letter, by=by)


@dataclass
class Post:
    """Takes letters out as time goes on; from then on those to one member are refused."""

    script: KitchenScript
    stage: Stage

    def go_out_before(self, moment: datetime) -> None:
        """Send what was due by the last full minute before a moment: an act may add to its own."""
        full = moment.replace(second=0, microsecond=0)
        self.go_out(full if full < moment else full - MINUTE)

    def go_out(self, until: datetime) -> None:
        """Make and send the letters due by then, one to a member for each minute."""
        letters: defaultdict[tuple[datetime, int], list[Notice]] = defaultdict(list)
        late: list[Notice] = []
        for notice in self._due(until):
            tick = min(_full_minute(notice.mail_at or until), until)
            if is_too_late(notice, tick):
                notice.too_late_at = tick
                late.append(notice)
            else:
                letters[tick, notice.member_id].append(notice)
        Notice.objects.bulk_update(late, ["too_late_at"])
        self._send(letters)

    def _due(self, until: datetime) -> QuerySet[Notice]:
        waiting = Notice.objects.filter(
            mail=None,
            mail_at__lte=until,
            too_late_at=None,
            matter__dropped_at=None,
            matter__coop=self.stage.coop,
            member__left_at=None,
        )
        return waiting.select_related("matter__coop", "member__user").order_by("mail_at", "pk")

    def _send(self, letters: dict[tuple[datetime, int], list[Notice]]) -> None:
        mails = [self._mail(tick, notices[0]) for (tick, _), notices in letters.items()]
        Mail.objects.bulk_create(mails)
        for mail, notices in zip(mails, letters.values(), strict=True):
            for notice in notices:
                notice.mail = mail
        told = [notice for notices in letters.values() for notice in notices]
        Notice.objects.bulk_update(told, ["mail"])

    def _mail(self, tick: datetime, first: Notice) -> Mail:
        mail = Mail(
            coop=self.stage.coop,
            member=first.member,
            address=first.member.user.email,
            made_at=tick,
            try_at=tick,
        )
        refused = self.script.notices["refused"]
        if mail.address == refused["member"] and tick >= self.stage.at(*refused["since"]):
            mail.refused_at, mail.attempts, mail.trouble = tick, 1, refused["trouble"]
        else:
            mail.sent_at = tick
        return mail


def _full_minute(moment: datetime) -> datetime:
    """The first full minute from then on: letters go out each minute."""
    full = moment.replace(second=0, microsecond=0)
    return full if full == moment else full + MINUTE


def read_what_is_old(script: KitchenScript, stage: Stage) -> None:
    """Everybody has read what the site showed them, but for the newest notices of some."""
    unread, now = script.notices["unread"], stage.now
    since = now - timedelta(days=unread["days"])
    kept: list[int] = []
    for address in unread["members"]:
        new = to_read(stage.members[address], now).filter(due_at__gte=since)
        kept += new.values_list("pk", flat=True)[: unread["at_most"]]
    shown = Notice.objects.filter(matter__coop=stage.coop, due_at__lte=now, read_at=None)
    shown.filter(due_at__gt=now - READ_AFTER).exclude(pk__in=kept).update(read_at=now)
    shown.exclude(pk__in=kept).update(read_at=F("due_at") + READ_AFTER)
