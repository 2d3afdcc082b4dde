"""Canner loads that households could share, and what that saves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from coop.buying.models import Buy
from coop.core.figures import counted
from coop.kitchen.models import Plan, Use, Way
from coop.kitchen.queries.needs import plans_to_can, to_can
from coop.kitchen.queries.plates import hours_said, outcome_of
from coop.kitchen.queries.shared_loads import Alike, JointLoad, groups_of, loads_less_said
from coop.people.models import Coop, Household


@dataclass(frozen=True)
class Together:
    """Everything that is to be canned, in groups of what may share a load."""

    groups: tuple[Alike, ...]

    @cached_property
    def shared(self) -> list[Alike]:
        """Groups where sharing saves a load, the most first."""
        saving = [group for group in self.groups if group.loads_less]
        return sorted(saving, key=lambda group: -group.loads_less)

    @cached_property
    def unshared(self) -> list[Alike]:
        """Groups where nobody gains by sharing."""
        return [group for group in self.groups if not group.loads_less]

    @property
    def loads_apart(self) -> int:
        """Loads if everybody cooks alone."""
        return sum(group.loads_apart for group in self.groups)

    @property
    def loads_less(self) -> int:
        """Loads that sharing saves."""
        return sum(group.loads_less for group in self.groups)

    @property
    def loads_together(self) -> int:
        """Loads if all that can be shared is."""
        return self.loads_apart - self.loads_less

    @property
    def hours_line(self) -> str:
        """Stove time that sharing saves: "about 2 h to 3 h of stove time saved"."""
        minutes = [group.minutes_less for group in self.shared]
        low, high = (sum(each[end] for each in minutes) for end in (0, 1))
        return f"about {hours_said(low, high)} of stove time saved"


@dataclass(frozen=True)
class Offer:
    """Whom one use could share its last load with, and how many loads that saves."""

    others: tuple[Household, ...]
    less: int

    @property
    def said(self) -> str:
        """The offer as a sentence."""
        count = len(self.others)
        who = f"{counted(count, 'other household')} {'cooks' if count == 1 else 'cook'}"
        return f"{who} at the same minutes and pressure: together {loads_less_said(self.less)}."


def together_in(coop: Coop, buy: Buy | None = None) -> Together:
    """What could be put together of all open plans, or of those of one buy. Three queries."""
    return Together(groups_of(to_can(plans_to_can(coop, buy))))


def offers_for(plan: Plan) -> dict[int, Offer]:
    """For the uses of a plan that could share their last load, by the id of the use.

    Three queries, whatever the number of uses and of other plans; none where nothing is to be
    canned. The plan was fetched with its uses and outcomes.
    """
    mine = [use for use in plan.uses.all() if use.way == Way.CAN and not outcome_of(use)]
    if not mine or plan.dropped_at:
        return {}
    same = {(use.method, use.jar) for use in mine}
    uses = Use.objects.filter(
        way=Way.CAN, method__in={method for method, _ in same}, jar__in={jar for _, jar in same}
    )
    plans = plans_to_can(plan.coop).filter(pk__in=uses.values("plan"))
    ids = {use.pk for use in mine}
    return {
        put.part.use.pk: _offer(group, load, put.part.household)
        for group in groups_of(to_can(plans, only=same))
        for load in group.joint
        for put in load.puts
        if put.part.use.pk in ids and len(load.households) > 1
    }


def shares_for(use: Use) -> Offer | None:
    """Whom one use could share its last load with; None where nobody gains by it."""
    return offers_for(use.plan).get(use.pk)


def _offer(group: Alike, load: JointLoad, mine: Household) -> Offer:
    """The company of one load; of all those that jars are parted among, where it is one of them."""
    loads = [each for each in group.joint if each.is_parted] if load.is_parted else [load]
    others = dict.fromkeys(each for one in loads for each in one.households if each != mine)
    return Offer(tuple(others), sum(one.less for one in loads))
