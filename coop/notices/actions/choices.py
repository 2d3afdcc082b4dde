"""What a member chooses of notices: each act with what it changes of those that wait, at once."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from coop.notices.kinds import ByMail, Kind, all_kinds
from coop.notices.membership import plan_for
from coop.notices.models import Choice
from coop.people.models import Member


def stop_mail(member: Member, kinds: Collection[str]) -> None:
    """No more mail of these kinds; what waits to go out stays, on the site alone.

    Codes of kinds that no app declares are passed over. Twice does no harm.
    """
    with transaction.atomic():
        lock_choices(member)
        stopped = [kind for kind in all_kinds() if kind.code in kinds]
        for kind in stopped:
            _set_mail(member, kind, ByMail.NEVER)
        plan_for(member, {kind.code for kind in stopped})


def resume_mail(member: Member, kind: str) -> None:
    """Mail of a kind again, the way that the kind has it by default. Twice does no harm.

    Mail that comes already keeps its way. A code that no app declares is passed over.
    """
    with transaction.atomic():
        lock_choices(member)
        for each in all_kinds():
            if each.code == kind and _is_stopped(member, each):
                _set_mail(member, each, each.by_mail)
                plan_for(member, {each.code})


def lock_choices(member: Member) -> None:
    """Hold what a member chose until the transaction ends, so that their choices take turns.

    On SQLite the immediate transaction is the lock.
    """
    Member.objects.select_for_update(no_key=True).get(pk=member.pk)


def _is_stopped(member: Member, kind: Kind) -> bool:
    return Choice.objects.filter(member=member, kind=kind.code, by_mail=ByMail.NEVER).exists()


def _set_mail(member: Member, kind: Kind, by_mail: ByMail) -> None:
    Choice.objects.update_or_create(member=member, kind=kind.code, defaults={"by_mail": by_mail})
