"""Planning a share, or produce that was typed in; changing and dropping the plan."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.buying.models import Farm, Share
from coop.core.figures import quantity
from coop.core.preserving import produce_in_sentence
from coop.kitchen.errors import AlreadyPlanned, AlreadyPutUp, PlanDropped, Refused
from coop.kitchen.models import Kitchen, Lot, Outcome, Plan
from coop.kitchen.queries.altitude import altitude_of
from coop.kitchen.queries.plans import plan_of_share, plan_to_change, share_to_plan
from coop.kitchen.queries.ways import produce_keys
from coop.kitchen.rights import require_act_for
from coop.people.changes import record_change
from coop.people.models import Household, Member

WEIGHT = "weight"


@dataclass(frozen=True)
class PlanTerms:
    """What is planned: a produce key of the tables, tenths of a pound, where it is cooked."""

    produce: str
    tenths: int
    kitchen: Kitchen | None = None
    farm: Farm | None = None
    note: str = ""


def plan_share(share_id: int, terms: PlanTerms, *, by: Member) -> Plan:
    """Plan a share, once. Raises AlreadyPlanned with the id of the plan that it has."""
    try:
        with transaction.atomic():
            share = share_to_plan(by, share_id)
            require_act_for(by, share.household)
            if not share.amount or share.released_at:
                raise Refused("Nothing of this share is left to plan.")
            return _make(terms, share.household, share=share, by=by)
    except IntegrityError as refusal:
        # The constraint on the share is the only one that two planners at once can meet.
        plan = plan_of_share(share_to_plan(by, share_id))
        if plan is None:
            raise
        raise AlreadyPlanned("This share is planned already.", plan_id=plan.pk) from refusal


def make_plan(household: Household, terms: PlanTerms, *, by: Member) -> Plan:
    """Plan produce that was typed in."""
    require_act_for(by, household)
    with transaction.atomic():
        return _make(terms, household, share=None, by=by)


def _make(terms: PlanTerms, household: Household, *, share: Share | None, by: Member) -> Plan:
    _check(terms)
    _check_kitchen(terms.kitchen, household.pk)
    plan = Plan.objects.create(
        coop=by.coop, household=household, share=share, by=by, **_columns(terms)
    )
    record_change(plan, f"Planned {_said(plan)}", coop=by.coop, by=by)
    return plan


def change_plan(plan_id: int, terms: PlanTerms, *, by: Member) -> Plan:
    """Change the pounds, the kitchen or the farm. The produce only while no use hangs on it."""
    _check(terms)
    with transaction.atomic():
        plan = open_plan(plan_id, by=by)
        if terms.kitchen != plan.kitchen:
            _check_kitchen(terms.kitchen, plan.household_id)
        if terms.produce != plan.produce and plan.uses.exists():
            raise Refused(
                f"This is planned as {produce_in_sentence(plan.produce)}. Remove its uses first, "
                "or make another plan.",
                field="produce",
            )
        before = {"tenths": plan.tenths, "altitude_ft": altitude_of(plan)}
        for name, value in _columns(terms).items():
            setattr(plan, name, value)
        plan.save(update_fields=list(_columns(terms)))
        after = {"tenths": plan.tenths, "altitude_ft": altitude_of(plan)}
        if before != after:
            words = f"Changed to {_said(plan)} at {altitude_of(plan):,} ft"
            record_change(plan, words, coop=by.coop, by=by, before=before, after=after)
        return plan


def drop_plan(plan_id: int, *, by: Member) -> Plan:
    """Drop a plan of which nothing was put up; its share may then be planned anew."""
    with transaction.atomic():
        plan = open_plan(plan_id, by=by)
        if Outcome.objects.filter(use__plan=plan).exists():
            raise AlreadyPutUp("Some of this plan was put up, so it stays.")
        if Lot.objects.filter(use__plan=plan).exists():
            raise AlreadyPutUp("There are jars of this plan, so it stays.")
        before = {"share": plan.share_id}
        plan.dropped_at, plan.share = timezone.now(), None
        plan.save(update_fields=["dropped_at", "share"])
        record_change(plan, f"Dropped: {_said(plan)}", coop=by.coop, by=by, before=before)
        return plan


def open_plan(plan_id: int, *, by: Member) -> Plan:
    """A plan to change by whoever may, its row locked. Raises PlanDropped where it is gone."""
    plan = plan_to_change(by, plan_id)
    require_act_for(by, plan.household)
    if plan.dropped_at:
        raise PlanDropped("This plan was dropped. Make a new one.")
    return plan


def _check(terms: PlanTerms) -> None:
    if terms.produce not in produce_keys():
        raise Refused("The tables do not have this produce.", field="produce")
    if terms.tenths < 1:
        raise Refused("Say how many pounds there are.", field="pounds")


def _check_kitchen(kitchen: Kitchen | None, household_id: int) -> None:
    if kitchen and kitchen.household_id not in (None, household_id):
        raise Refused("That kitchen is another household's own.", field="kitchen")


def _columns(terms: PlanTerms) -> dict[str, object]:
    return dict(vars(terms))


def _said(plan: Plan) -> str:
    return f"{quantity(plan.tenths, WEIGHT)} of {produce_in_sentence(plan.produce)}"
