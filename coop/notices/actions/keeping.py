"""Keeps what there is to tell of one cause: made, moved and dropped with it, in its transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from coop.notices.actions.planning import drop_notices, is_mailed, plan_notices
from coop.notices.kinds import kind_of
from coop.notices.models import Matter, Notice
from coop.notices.planning import Readers
from coop.notices.says import Audience, Role, Say
from coop.people.models import Coop, Household

#: A change of these is a change of when or whether somebody is told; of all else, of words alone.
OF_TIME = ("kind", "at", "until")
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
    """
    now = timezone.now()
    kept, readers = Kept(), Readers(coop)
    with transaction.atomic():
        rows = Matter.objects.select_for_update().filter(coop=coop, about=about, dropped_at=None)
        standing = {matter.key: matter for matter in rows.order_by("pk")}
        for say in says:
            key = f"{about}/{say.key}"
            matter = standing.pop(key, None)
            if matter is None:
                _make(coop, about, say, readers=readers, now=now)
                kept.made += 1
            elif changed := _differences(matter, say):
                _change(matter, say, changed, readers=readers, now=now)
                kept.changed += 1
        if standing:
            _drop(list(standing.values()), now)
            kept.dropped += len(standing)
    return kept


def _values(say: Say) -> dict[str, Any]:
    values = {name: getattr(say, name) for name in FIELDS} | {"details": list(say.details)}
    return values | {name: values[name][:longest] for name, longest in LONGEST.items()}


def _whom(to: Audience) -> dict[str, Any]:
    if isinstance(to, Role):
        return {"role": to.name}
    return {"household": to} if isinstance(to, Household) else {"member": to}


def _make(coop: Coop, about: str, say: Say, *, readers: Readers, now: datetime) -> Matter:
    key = f"{about}/{say.key}"
    last = Matter.objects.filter(coop=coop, key=key).aggregate(last=Max("sequence"))["last"]
    matter = Matter.objects.create(
        coop=coop,
        about=about,
        key=key,
        sequence=0 if last is None else last + 1,
        made_at=now,
        changed_at=now,
        **_whom(say.to),
        **_values(say),
    )
    plan_notices(matter, readers, now)
    return matter


def _differences(matter: Matter, say: Say) -> set[str]:
    return {name for name, value in _values(say).items() if getattr(matter, name) != value}


def _change(
    matter: Matter, say: Say, changed: set[str], *, readers: Readers, now: datetime
) -> None:
    """In words alone the row changes; in time too, unless somebody was told: then a new one."""
    if "at" in changed and _was_told(matter, now):
        _drop([matter], now)
        _make(matter.coop, matter.about, say, readers=readers, now=now)
        return
    for name, value in _values(say).items():
        setattr(matter, name, value)
    matter.sequence += 1
    matter.changed_at = now
    matter.save(update_fields=[*FIELDS, "sequence", "changed_at"])
    if changed.intersection(OF_TIME):
        plan_notices(matter, readers, now)


def _was_told(matter: Matter, now: datetime) -> bool:
    """Whether it was due to anybody, or a mail has told it."""
    notices = Notice.objects.filter(matter=matter).select_related("mail")
    return any(row.due_at <= now or is_mailed(row, now) for row in notices)


def _drop(matters: list[Matter], now: datetime) -> None:
    """What somebody was told, or stands in a calendar, stays as a dropped row; all else goes."""
    drop_notices(matters, now)
    ids = [matter.pk for matter in matters]
    told = set(Notice.objects.filter(matter__in=ids).values_list("matter", flat=True))
    stay = [each.pk for each in matters if each.pk in told or kind_of(each.kind).in_calendar]
    Matter.objects.filter(pk__in=stay).update(dropped_at=now, changed_at=now)
    Matter.objects.filter(pk__in=set(ids).difference(stay)).delete()
