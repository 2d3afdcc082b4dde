"""Keeps what there is to tell of one cause: made, moved and dropped with it, in its transaction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from coop.notices.actions.planning import drop_notices, is_mailed, plan_notices
from coop.notices.kinds import kind_of
from coop.notices.models import Matter, Notice
from coop.notices.planning import Readers
from coop.notices.says import Audience, Role, Say
from coop.people.models import Coop, Household

#: A change of these is a change of when or whether somebody is told; of all else, of words alone.
OF_TIME = ("kind", "at", "until", "not_to_id")
FIELDS = (
    "kind",
    "at",
    "ends_at",
    "until",
    "title",
    "to_do",
    "details",
    "path",
    "button",
    "where",
    "not_to_id",
)
LONGEST = {"title": 160, "to_do": 300, "path": 300, "button": 60, "where": 200}


@dataclass
class Kept:
    """How many matters were made, changed and dropped; all 0 where nothing differed."""

    made: int = 0
    changed: int = 0
    dropped: int = 0

    def __bool__(self) -> bool:
        return bool(self.made or self.changed or self.dropped)


def keep(coop: Coop, about: str, says: Iterable[Say]) -> Kept:
    """Make the matters about one cause agree with `says`, and the notices with the matters.

    `about` names the cause, as "buy:12". To be called in the transaction that changed it, with the
    cause locked, once all is done: it compares, so that calling it again does nothing.

    Who joins while this goes on is not told of matters that are new here; the next look through
    all causes (`sources.put_right`) tells them.
    """
    return keep_many(coop, {about: says})


def keep_many(coop: Coop, causes: Mapping[str, Iterable[Say]]) -> Kept:
    """Do as `keep` does for several causes of a co-op, by what names each.

    As many queries for a hundred causes as for one; and whoever keeps several at a time holds their
    matters in one order, so that no two wait for each other.
    """
    now = timezone.now()
    with transaction.atomic():
        rows = Matter.objects.select_for_update().filter(
            coop=coop, about__in=list(causes), dropped_at=None
        )
        standing = {matter.key: matter for matter in rows.order_by("pk")}
        new, changed = _compare(standing, causes)
        if not (new or changed or standing):
            return Kept()  # most acts change nothing of what is told
        told = _told([row for row, say in changed if row.at != say.at], now)
        _drop([*standing.values(), *(row for row, _ in changed if row.pk in told)], now)
        anew = [(row.about, say) for row, say in changed if row.pk in told]
        made = _make(coop, [*new, *anew], now)
        moved = _change([(row, say) for row, say in changed if row.pk not in told], now)
        readers = Readers(coop)  # read only now, so that who joined meanwhile is among them
        plan_notices([*made, *moved], readers, now)
    return Kept(made=len(new), changed=len(changed), dropped=len(standing))


def _compare(
    standing: dict[str, Matter], causes: Mapping[str, Iterable[Say]]
) -> tuple[list[tuple[str, Say]], list[tuple[Matter, Say]]]:
    """What is new, with its cause, and what has changed; `standing` is left what is said no more.

    What is told to others than before is new, and the old is said no more.
    """
    new: list[tuple[str, Say]] = []
    changed: list[tuple[Matter, Say]] = []
    for about, say in ((about, say) for about, says in causes.items() for say in says):
        matter = standing.get(f"{about}/{say.key}")
        if matter is None or not _is_told_to(matter, say.to):
            new.append((about, say))
        elif _differences(standing.pop(matter.key), say):
            changed.append((matter, say))
    return new, changed


def _values(say: Say) -> dict[str, Any]:
    values = {name: getattr(say, name) for name in FIELDS} | {"details": list(say.details)}
    return values | {name: values[name][:longest] for name, longest in LONGEST.items()}


def _whom(to: Audience) -> dict[str, Any]:
    if isinstance(to, Role):
        return {"role": to.name}
    return {"household_id" if isinstance(to, Household) else "member_id": to.pk}


def _is_told_to(matter: Matter, to: Audience) -> bool:
    return all(getattr(matter, name) == value for name, value in _whom(to).items())


def _make(coop: Coop, says: list[tuple[str, Say]], now: datetime) -> list[Matter]:
    """Make what is said, or have it stand again where it stood before."""
    last = _last_of(coop, says)
    new: list[tuple[str, Say]] = []
    again: list[tuple[Matter, Say]] = []
    for about, say in says:
        before = last.get(f"{about}/{say.key}")
        if before and _stands_again(before, say):
            again.append((before, say))
        else:
            new.append((about, say))
    made = Matter.objects.bulk_create(
        _made(coop, about, say, after=last.get(f"{about}/{say.key}"), now=now) for about, say in new
    )
    return [*made, *_bring_back(again, now)]


def _made(coop: Coop, about: str, say: Say, *, after: Matter | None, now: datetime) -> Matter:
    """The row to write down, `after` another that stood under its key."""
    return Matter(
        coop=coop,
        about=about,
        key=f"{about}/{say.key}",
        sequence=after.sequence + 1 if after else 0,
        made_at=now,
        changed_at=now,
        **_whom(say.to),
        **_values(say),
    )


def _last_of(coop: Coop, says: list[tuple[str, Say]]) -> dict[str, Matter]:
    """The last row that stood under each key, by the key."""
    rows = Matter.objects.filter(
        coop=coop,
        about__in={about for about, _ in says},  # there is an index of these
        key__in=[f"{about}/{say.key}" for about, say in says],
    )
    return {matter.key: matter for matter in rows.order_by("pk")}


def _stands_again(before: Matter, say: Say) -> bool:
    """Whether a cause came back to what it said: of the same moment, to the same people."""
    same = (before.kind, before.at) == (say.kind, say.at)
    return same and _is_told_to(before, say.to)


def _bring_back(says: list[tuple[Matter, Say]], now: datetime) -> list[Matter]:
    """Have matters stand again, so that who was told is not told a second time.

    A mail that waited when they were dropped goes out after all; planning says when.
    """
    back = [matter for matter, _ in says]
    Matter.objects.filter(pk__in=[matter.pk for matter in back]).update(dropped_at=None)
    for matter in back:
        matter.dropped_at = None
    _change(says, now)
    unmailed = Q(mail=None) | Q(mail__dropped_at__isnull=False)
    waiting = Notice.objects.filter(unmailed, matter__in=back, read_at=None)
    waiting.update(mail=None, mail_at=F("due_at"), too_late_at=None)
    return back


def _differences(matter: Matter, say: Say) -> set[str]:
    return {name for name, value in _values(say).items() if getattr(matter, name) != value}


def _change(says: list[tuple[Matter, Say]], now: datetime) -> list[Matter]:
    """Write what is said now; the matters of which other times are to be told."""
    moved = [matter for matter, say in says if _differences(matter, say).intersection(OF_TIME)]
    for matter, say in says:
        for name, value in _values(say).items():
            setattr(matter, name, value)
        matter.sequence += 1
        matter.changed_at = now
    changed = [matter for matter, _ in says]
    Matter.objects.bulk_update(changed, [*FIELDS, "sequence", "changed_at"], batch_size=100)
    return moved


def _told(matters: list[Matter], now: datetime) -> set[int]:
    """Which of them were due to somebody, or a mail has told.

    When their cause moves, what was said stays as it was said, and a new one stands in its place.
    """
    ids = [matter.pk for matter in matters]
    notices = Notice.objects.filter(matter__in=ids).select_related("mail")
    return {row.matter_id for row in notices if row.due_at <= now or is_mailed(row, now)}


def _drop(matters: list[Matter], now: datetime) -> None:
    """What somebody was told, or stands in a calendar, stays as a dropped row; all else goes."""
    if not matters:
        return
    drop_notices(matters, now)
    ids = [matter.pk for matter in matters]
    told = set(Notice.objects.filter(matter__in=ids).values_list("matter", flat=True))
    stay = [each.pk for each in matters if each.pk in told or kind_of(each.kind).in_calendar]
    # Calendars take a cancelling for news only where the sequence has gone up.
    Matter.objects.filter(pk__in=stay).update(
        dropped_at=now, changed_at=now, sequence=F("sequence") + 1
    )
    Matter.objects.filter(pk__in=set(ids).difference(stay)).delete()
