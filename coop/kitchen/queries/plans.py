"""Fetching plans, their uses, and the shares that are not planned yet."""

from __future__ import annotations

from datetime import timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet, Sum
from django.http import Http404
from django.utils import timezone

from coop.buying.models import Farm, Share, Supply
from coop.kitchen.models import Plan, Use
from coop.kitchen.queries.altitude import altitude_of, place_of
from coop.people.models import Coop, Household, Member

__all__ = [
    "altitude_of",
    "counted_out_of",
    "farm_of_share",
    "farms_to_choose",
    "households_to_plan_for",
    "open_plans",
    "place_of",
    "plan_for",
    "plan_of_share",
    "plan_to_change",
    "plans_in",
    "share_to_plan",
    "unplanned_shares",
    "use_for",
    "use_to_change",
]

#: Fresh produce of which nobody said anything for so long is eaten. Common practice, no source.
FRESH_FOR = timedelta(days=60)
MOST_SHARES = 30


def plans_in(coop: Coop) -> QuerySet[Plan]:
    """Every plan that was not dropped, newest first, with all that its figures need. 3 queries.

    `uses` are prefetched, each with its outcome.
    """
    return (
        Plan.objects.filter(coop=coop, dropped_at__isnull=True)
        .select_related("coop", "household", "kitchen", "farm", "by")
        .select_related("share__division__line__buy")
        .prefetch_related("uses__outcome")
    )


def open_plans(coop: Coop) -> QuerySet[Plan]:
    """Plans that still have something to put up: a use without an outcome, or no use yet."""
    waiting = Use.objects.filter(plan=OuterRef("pk"), outcome__isnull=True)
    some = Use.objects.filter(plan=OuterRef("pk"))
    return plans_in(coop).filter(Q(Exists(waiting)) | ~Q(Exists(some)))


def plan_for(member: Member, plan_id: int) -> Plan:
    """A plan to read, also a dropped one. Absent and another co-op's are the same 404."""
    plan = (
        Plan.objects.filter(coop=member.coop, pk=plan_id)
        .select_related("coop", "household", "kitchen", "farm", "by")
        .select_related("share__division__line__buy")
        .prefetch_related("uses__outcome__by")
        .first()
    )
    if plan is None:
        raise Http404
    return plan


def plan_to_change(member: Member, plan_id: int) -> Plan:
    """A plan to change, inside a transaction: its row is locked, so that two take turns."""
    plan = (
        Plan.objects.select_for_update(of=("self",))
        .select_related("coop", "household", "kitchen")
        .filter(coop=member.coop, pk=plan_id)
        .first()
    )
    if plan is None:
        raise Http404
    return plan


def use_for(member: Member, use_id: int) -> Use:
    """A use to read, with its plan. Absent and another co-op's are the same 404."""
    use = (
        Use.objects.filter(plan__coop=member.coop, pk=use_id)
        .select_related("plan__coop", "plan__household", "plan__kitchen", "plan__farm", "outcome")
        .first()
    )
    if use is None:
        raise Http404
    return use


def use_to_change(member: Member, use_id: int) -> Use:
    """A use to change, inside a transaction: its plan is locked first."""
    use = use_for(member, use_id)
    plan_to_change(member, use.plan_id)
    return use_for(member, use_id)


def share_to_plan(member: Member, share_id: int) -> Share:
    """A share of a standing division, with its line and household. Else the same 404."""
    share = (
        Share.objects.select_related("household", "division__line__buy")
        .filter(
            pk=share_id,
            division__line__buy__coop=member.coop,
            division__withdrawn_at__isnull=True,
        )
        .first()
    )
    if share is None:
        raise Http404
    return share


def plan_of_share(share: Share) -> Plan | None:
    """The plan of a share, where it has one."""
    return Plan.objects.filter(share=share).first()


def unplanned_shares(member: Member, *, everybody: bool = False) -> QuerySet[Share]:
    """What the member's household got and did not plan, the newest first; at most thirty.

    With `everybody` a coordinator reads those of all households, and anybody else their own. What
    was passed on is not there, nor what is long eaten.
    """
    shares = Share.objects.filter(
        division__line__buy__coop=member.coop,
        amount__gt=0,
        released_at__isnull=True,
        division__withdrawn_at__isnull=True,
        division__published_at__gt=timezone.now() - FRESH_FOR,
        plan__isnull=True,
    )
    if not (everybody and member.coordinator):
        shares = shares.filter(household=member.household_id)
    return shares.select_related("household", "division__line__buy").order_by(
        "-division__published_at", "-id"
    )[:MOST_SHARES]


def households_to_plan_for(member: Member) -> QuerySet[Household]:
    """The households that a member may plan for: their own; for coordinators every one."""
    households = Household.objects.filter(coop=member.coop, left_at__isnull=True)
    return households if member.coordinator else households.filter(pk=member.household_id)


def counted_out_of(use: Use) -> int | None:
    """Jars that were counted out of the lots of a use; None where there is no such lot."""
    jars: int | None = use.lots.aggregate(jars=Sum("counted_out"))["jars"]
    return jars


def farm_of_share(share: Share) -> Farm | None:
    """The farm that a share came from, where only one supplied its line."""
    supplies = Supply.objects.filter(line=share.division.line).exclude(called_in=0)
    farms = {supply.farm_id: supply.farm for supply in supplies.select_related("farm")}
    return next(iter(farms.values())) if len(farms) == 1 else None


def farms_to_choose(coop: Coop, keep: int | None = None) -> QuerySet[Farm]:
    """The farms on the list, and the one that a plan has already (its id)."""
    return Farm.objects.filter(Q(retired_at__isnull=True) | Q(pk=keep), coop=coop)
