"""Posting a buy with its rules, and changing it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused
from coop.buying.models import Buy
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.asks import are_rules_frozen
from coop.buying.queries.buys import lock_buy
from coop.buying.rights import require_post_buys, require_run
from coop.money.actions.accounts import open_buy_account
from coop.people.changes import record_change
from coop.people.locks import lock_people
from coop.people.models import Household, Member


@dataclass(frozen=True)
class BuyRules:
    """What households accept with their first ask; it changes no more after that."""

    shortage_rule: str = "season"
    grace_minutes: int = 30
    late_change_cents: int = 0
    no_show_cents: int = 0
    fuel_basis: str = Buy.Basis.BY_TRIP
    other_basis: str = Buy.Basis.EQUALLY
    cover: str = Buy.Cover.COVERED
    fronted_by: Household | None = None
    front_limit_cents: int | None = None


@dataclass(frozen=True)
class BuyPlan:
    """What a buy is, when its asks close, and where and when it is picked up."""

    title: str
    asks_close_at: datetime
    pickup_place: str
    pickup_from: datetime
    pickup_to: datetime
    note: str = ""


def post_buy(plan: BuyPlan, rules: BuyRules, *, by: Member) -> Buy:
    """Post a buy with its rules, led by the member. Its lines come next."""
    require_post_buys(by)
    _check(plan, rules, by=by)
    if plan.asks_close_at <= timezone.now():
        raise Refused("Asks must stay open for a while yet.", field="asks_close_at")
    with transaction.atomic():
        lock_people(by.coop_id)  # so that a household that joins at this moment is told of it
        account = open_buy_account(by.coop, plan.title)
        buy = Buy.objects.create(
            coop=by.coop, account=account, coordinator=by, **_columns(plan), **_columns(rules)
        )
        record_change(buy, "Posted", coop=by.coop, by=by)
        renew_buy(buy.pk)
        return buy


def change_buy(buy_id: int, plan: BuyPlan, rules: BuyRules, *, by: Member) -> Buy:
    """Change a buy while it is asking; its rules only while nobody has accepted them.

    The close is changed by closing and reopening the asks. After the call-in only the pickup, the
    title and the note may change.
    """
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        require_stage(buy, Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED)
        _check(plan, rules, by=by)
        before = _columns(plan_of(buy)) | _columns(rules_of(buy))
        after = _columns(plan) | _columns(rules)
        changed = {name for name in after if before[name] != after[name]}
        _check_changed(buy, changed)
        if changed:
            _save_changed(buy, before, after, changed=changed, by=by)
            renew_buy(buy.pk)
        return buy


def _check_changed(buy: Buy, changed: set[str]) -> None:
    if "asks_close_at" in changed:
        raise Refused(
            "Close the asks, or open them again, on the page of the buy.", field="asks_close_at"
        )
    if changed & {field.name for field in fields(BuyRules)} and are_rules_frozen(buy):
        raise Refused("The rules were accepted with the first ask and stay as they are.")


def _save_changed(
    buy: Buy, before: dict[str, Any], after: dict[str, Any], *, changed: set[str], by: Member
) -> None:
    for name in changed:
        setattr(buy, name, after[name])
    buy.save(update_fields=sorted(changed))
    if "title" in changed:
        buy.account.name = buy.title
        buy.account.save(update_fields=["name"])
    names = ", ".join(sorted(name.replace("_", " ") for name in changed))
    record_change(
        buy,
        f"Changed: {names}",
        coop=buy.coop,
        by=by,
        before={name: str(before[name]) for name in changed},
        after={name: str(after[name]) for name in changed},
    )


def plan_of(buy: Buy) -> BuyPlan:
    """The plan of a buy as it stands."""
    return BuyPlan(**{field.name: getattr(buy, field.name) for field in fields(BuyPlan)})


def rules_of(buy: Buy) -> BuyRules:
    """The rules of a buy as they stand."""
    return BuyRules(**{field.name: getattr(buy, field.name) for field in fields(BuyRules)})


def _columns(terms: BuyPlan | BuyRules) -> dict[str, Any]:
    return {field.name: getattr(terms, field.name) for field in fields(terms)}


def _check(plan: BuyPlan, rules: BuyRules, *, by: Member) -> None:
    if plan.pickup_from < plan.asks_close_at:
        raise Refused("The pickup cannot begin before asks close.", field="pickup_from")
    if plan.pickup_to <= plan.pickup_from:
        raise Refused("The pickup must end after it begins.", field="pickup_to")
    if rules.cover == Buy.Cover.COVERED:
        if rules.fronted_by or rules.front_limit_cents is not None:
            raise Refused("Nobody fronts a buy that waits until it is covered.", field="cover")
        return
    if rules.fronted_by is None or rules.fronted_by.coop_id != by.coop_id:
        raise Refused("Say which household fronts the money.", field="fronted_by")
    if rules.front_limit_cents is None:
        raise Refused("Say how much it fronts at most.", field="front_limit_cents")
