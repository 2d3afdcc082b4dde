"""What a member chooses of notices: each act with what it changes of those that wait, at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import time

from django.db import transaction
from django.utils import timezone

from coop.core.reminders import Quiet
from coop.notices.kinds import ByMail, Kind, all_kinds
from coop.notices.membership import plan_for
from coop.notices.models import Choice, Wishes
from coop.notices.queries.choices import chosen_by, first_of, values_of
from coop.people.errors import Refused
from coop.people.models import Member


@dataclass(frozen=True)
class Clocks:
    """When a member wants mail, by the co-op's clocks.

    `quiet`: whether there are quiet hours, from `quiet_from` to `quiet_to`, over midnight or not.
    `daily_at`: the time of the one mail a day.
    """

    quiet: bool
    quiet_from: time
    quiet_to: time
    daily_at: time


def choose(clocks: Clocks, choices: Mapping[str, Choice], *, by: Member) -> None:
    """Save what a member wants of all notices, and of each kind by its code, in one go.

    Kinds that are not among them stay as they are. What waits goes by it at once. Raises Refused
    for quiet hours that begin when they end, or that hold the time of the one mail a day.
    """
    _check(clocks)
    with transaction.atomic():
        lock_choices(by)
        has_other_clocks = _save_clocks(clocks, by)
        changed = _save_choices(choices, by)
        if has_other_clocks or changed:
            plan_for(by, None if has_other_clocks else changed)


def _check(clocks: Clocks) -> None:
    if not clocks.quiet:
        return
    if clocks.quiet_from == clocks.quiet_to:
        raise Refused(
            "Quiet hours end at another time than they begin. To have none, take the tick away.",
            field="quiet_to",
        )
    if Quiet(clocks.quiet_from, clocks.quiet_to).holds(clocks.daily_at):
        raise Refused(
            "That is within your quiet hours. Choose another time for the one mail a day.",
            field="daily_at",
        )


def _save_clocks(clocks: Clocks, member: Member) -> bool:
    wishes, values = chosen_by(member).wishes, vars(clocks)
    if all(getattr(wishes, name) == value for name, value in values.items()):
        return False
    defaults = values | {"changed_at": timezone.now()}
    Wishes.objects.update_or_create(member=member, defaults=defaults)
    return True


def _save_choices(choices: Mapping[str, Choice], member: Member) -> set[str]:
    """Keep what differs from how a kind is at first; the codes of the kinds that changed."""
    before = chosen_by(member)
    kinds = [kind for kind in all_kinds() if kind.code in choices]
    changed = {
        kind.code: kind
        for kind in kinds
        if values_of(choices[kind.code]) != values_of(before.choice_of(kind))
    }
    if changed:  # the calendar has other alarms from now on
        Wishes.objects.filter(member=member).update(changed_at=timezone.now())
    Choice.objects.filter(member=member, kind__in=changed).delete()
    Choice.objects.bulk_create(
        Choice(member=member, kind=code, **values_of(choices[code]))
        for code, kind in changed.items()
        if values_of(choices[code]) != values_of(first_of(kind))
    )
    return set(changed)


def stop_mail(member: Member, kinds: Collection[str]) -> None:
    """No more mail of these kinds; what waits to go out stays, on the site alone.

    Codes of kinds that no app declares are passed over. Twice does no harm.
    """
    with transaction.atomic():
        member = lock_choices(member)
        stopped = [kind for kind in all_kinds() if kind.code in kinds]
        for kind in stopped:
            _set_mail(member, kind, ByMail.NEVER)
        plan_for(member, {kind.code for kind in stopped})


def resume_mail(member: Member, kind: str) -> None:
    """Mail of a kind again, the way that the kind has it by default. Twice does no harm.

    Mail that comes already keeps its way. A code that no app declares is passed over.
    """
    with transaction.atomic():
        member = lock_choices(member)
        for each in all_kinds():
            if each.code == kind and _is_stopped(member, each):
                _set_mail(member, each, each.by_mail)
                plan_for(member, {each.code})


def lock_choices(member: Member) -> Member:
    """Hold what a member chose until the transaction ends, so that their choices take turns.

    Returns the member as they are now. On SQLite the immediate transaction is the lock.
    """
    held = Member.objects.select_for_update(of=("self",), no_key=True)
    return held.select_related("coop").get(pk=member.pk)


def _is_stopped(member: Member, kind: Kind) -> bool:
    return Choice.objects.filter(member=member, kind=kind.code, by_mail=ByMail.NEVER).exists()


def _set_mail(member: Member, kind: Kind, by_mail: ByMail) -> None:
    Choice.objects.update_or_create(member=member, kind=kind.code, defaults={"by_mail": by_mail})
