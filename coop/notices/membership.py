"""Who joins is told what is still to come; who leaves is told no more; a role brings its own."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from coop.notices.actions.planning import plan_notices
from coop.notices.models import Matter, Notice
from coop.notices.planning import Readers
from coop.notices.sources import put_right
from coop.people import hooks
from coop.people.models import Coop, Member

#: Of what lies further back nobody is told anything new.
LONG_PAST = timedelta(days=60)
#: So many are looked at in one transaction, so that acts need not wait for all of them.
MATTERS_AT_ONCE = 200


def register() -> None:
    """Hook into what people do."""
    hooks.member_changed.append(plan_for)
    hooks.zone_changed.append(plan_all)


def plan_for(member: Member, kinds: Collection[str] | None = None) -> None:
    """Make a member's notices agree with the household, the roles and the choices they have now.

    `kinds`: codes of the kinds whose notices alone are looked at; None for all.
    """
    now = timezone.now()
    with transaction.atomic():
        concerned = Q(household=member.household_id) | Q(member=member)
        for role in member.roles:
            concerned |= Q(role=role)
        noticed = Q(pk__in=Notice.objects.filter(member=member).values("matter"))
        readers = Readers(member.coop, only=member)
        matters = _live(member.coop, now).filter(concerned | noticed)
        if kinds is not None:
            matters = matters.filter(kind__in=kinds)
        plan_notices(_lock(matters), readers, now)


def plan_all(coop: Coop) -> None:
    """Make every notice of a co-op agree with its clocks, and what is said of hours too.

    Each cause in a transaction of its own: an act waits for one of them at most.
    """
    put_right(coop)
    plan_again(coop)


def plan_again(coop: Coop) -> int:
    """Make the notices of all that stands agree with who is there now, and with what they chose.

    Returns how many did not. Acts leave none but where two met: somebody joined, or chose, in the
    moment in which something was said, and neither saw the other.
    """
    now = timezone.now()
    keys = list(_live(coop, now).order_by("pk").values_list("pk", flat=True))
    differed = 0
    for first in range(0, len(keys), MATTERS_AT_ONCE):
        few = Matter.objects.filter(pk__in=keys[first : first + MATTERS_AT_ONCE], dropped_at=None)
        with transaction.atomic():
            differed += plan_notices(_lock(few), Readers(coop), now)
    return differed


def _live(coop: Coop, now: datetime) -> QuerySet[Matter]:
    return Matter.objects.filter(coop=coop, dropped_at=None, at__gte=now - LONG_PAST)


def _lock(matters: QuerySet[Matter]) -> list[Matter]:
    """The matters, held so that whoever keeps them meanwhile takes turns.

    An act that keeps several causes holds their matters in the order of the causes, not of their
    keys, so that the two can wait for each other. PostgreSQL then undoes one, which can be tried
    again: it takes two acts of one co-op in the same moment, one of them rare.
    """
    return list(matters.select_for_update(no_key=True).order_by("pk"))
