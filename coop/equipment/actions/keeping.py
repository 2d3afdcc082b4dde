"""What goes with a thing: the hours in which it may be out, and the parts to count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from django.utils import timezone

from coop.core.figures import counted
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import offer_openings
from coop.equipment.errors import Refused
from coop.equipment.models import OpenHours, Part, Thing
from coop.equipment.notices.touched import one_act, touch_whole_thing
from coop.equipment.rights import require_keep
from coop.equipment.words import MINUTES_IN_DAY, hours_said
from coop.people.changes import record_change
from coop.people.models import Member

#: Monday is 0; from and to in minutes of the day.
DaySpan = tuple[int, int, int]
SUNDAY = 6
#: Of one weekday: morning, noon and evening.
MOST_SPANS = 3
MOST_PARTS = 40
MOST_OF_A_PART = 500


def set_hours(thing_id: int, spans: Iterable[DaySpan], *, by: Member) -> Thing:
    """Say when in the week a thing may be out; no span means at any time.

    Spans that touch or overlap become one. Bookings that stand are not touched. Raises NotAllowed,
    and Refused for a span that does not lie within a day.
    """
    wanted = _joined(spans)
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        before = list(thing.hours.all())
        if wanted == [_span_of(each) for each in before]:
            return thing
        thing.hours.all().delete()
        after = [
            OpenHours(thing=thing, weekday=day, from_minute=start, to_minute=end)
            for day, start, end in wanted
        ]
        OpenHours.objects.bulk_create(after)
        record_change(
            thing,
            f"Hours: {hours_said(after)}.",
            coop=by.coop,
            by=by,
            before={"hours": hours_said(before)},
            after={"hours": hours_said(after)},
        )
        offer_openings(thing, timezone.now())
        return thing


def set_parts(thing_id: int, parts: Mapping[str, int], *, by: Member) -> Thing:
    """Say which parts go out with a thing, and how many of each. Raises NotAllowed, Refused."""
    _require_countable(parts)
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        before = {part.name: part.count for part in thing.parts.all()}
        if before == dict(parts):
            return thing
        thing.parts.all().delete()
        Part.objects.bulk_create(
            Part(thing=thing, name=name, count=count) for name, count in parts.items()
        )
        touch_whole_thing(thing)
        record_change(
            thing,
            f"Parts to count: {counted(sum(parts.values()), 'part')} in all.",
            coop=by.coop,
            by=by,
            before={"parts": before},
            after={"parts": dict(parts)},
        )
        return thing


def _joined(spans: Iterable[DaySpan]) -> list[DaySpan]:
    joined: list[DaySpan] = []
    for day, start, end in sorted(spans):
        if not (0 <= day <= SUNDAY and 0 <= start < end <= MINUTES_IN_DAY):
            raise Refused("Hours begin before they end, both within one day.")
        if joined and joined[-1][0] == day and start <= joined[-1][2]:
            joined[-1] = (day, joined[-1][1], max(end, joined[-1][2]))
        else:
            joined.append((day, start, end))
    if any(most > MOST_SPANS for most in Counter(day for day, _, _ in joined).values()):
        raise Refused(f"A day has at most {MOST_SPANS} spans. Join two of them.")
    return joined


def _span_of(hours: OpenHours) -> DaySpan:
    return hours.weekday, hours.from_minute, hours.to_minute


def _require_countable(parts: Mapping[str, int]) -> None:
    if len(parts) > MOST_PARTS:
        raise Refused(f"At most {MOST_PARTS} kinds of parts can be counted.")
    if len({name.lower() for name in parts}) < len(parts):
        raise Refused("A part stands on the list twice. Write it once, with how many there are.")
    for name, count in parts.items():
        if not 0 < count <= MOST_OF_A_PART:
            raise Refused(f"{name}: write how many there are, from 1 to {MOST_OF_A_PART}.")
