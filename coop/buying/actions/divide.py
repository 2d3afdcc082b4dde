"""Publishing how a line is divided, taking it back, and easing a minimum that cannot be kept."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.buying import rights
from coop.buying.actions.stages import move_to, require_stage
from coop.buying.errors import CannotCover, NotAllowed, Refused, TooLate
from coop.buying.models import Ask, Buy, Division, Line, Share, Spare
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.division import Case, case_of, line_states
from coop.buying.queries.shares import is_produce_charged
from coop.buying.words import RULES
from coop.core import division as core
from coop.core.figures import join_words, quantity
from coop.people.changes import record_change
from coop.people.models import Member

WHO_EASES = "A minimum is lowered by its own household, or by who runs the buy."
NOT_PROVEN = (
    "There are too many whole containers to try every combination: another division may leave less "
    "over, or keep closer to the rule."
)


def publish_division(
    line: Line, rule: core.Rule, *, by: Member, seen: str = "", why: str = ""
) -> Division:
    """Divide a line by a rule, for everybody to see; what is left over goes to the spare table.

    `seen` is the digest of the case that the member looked at: another one is refused. `why` is
    needed where the rule is not the one that the buy stated. One division stands at a time: of two
    published at once the database keeps one, and the other is TooLate. Raises also CannotCover,
    NotAllowed, Refused and WrongStage.
    """
    with transaction.atomic():
        buy = lock_buy(by, line.buy_id)
        _require_runner(by, buy)
        _refuse_second(line, buy)
        require_stage(buy, Buy.Stage.COLLECTED)
        case = case_of(Line.objects.select_related("buy__coop").get(pk=line.pk))
        if seen and seen != case.digest:
            raise TooLate(
                f"The tally, an ask or the season of {line.produce} has changed since you looked. "
                "Nothing was published. Look at the figures again."
            )
        if rule != buy.shortage_rule and not why.strip():
            raise Refused(
                f"This buy said that it shares a shortage by “{RULES[buy.shortage_rule].label}”. "
                "Say why not, for everybody to read.",
                field="why",
            )
        division = _publish(case, rule, by=by)
        _tell(division, buy, case=case, why=why.strip(), by=by)
        if not any(state.is_to_divide for state in line_states(buy)):
            move_to(buy, Buy.Stage.DIVIDED, "Everything is divided", by=by)
        renew_buy(buy.pk)
        return division


def withdraw_division(division: Division, *, why: str, by: Member) -> None:
    """Take back a division with a reason, until produce is charged or anybody has fetched."""
    with transaction.atomic():
        buy = lock_buy(by, division.line.buy_id)
        _require_runner(by, buy)
        require_stage(buy, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
        _require_loose(division)
        if not why.strip():
            raise Refused("Say why, for everybody to read.", field="why")
        now = timezone.now()
        changed = Division.objects.filter(pk=division.pk, withdrawn_at__isnull=True).update(
            withdrawn_at=now, withdrawn_why=why.strip()
        )
        if not changed:
            raise TooLate("This division was withdrawn already.")
        Spare.objects.filter(division=division, withdrawn_at__isnull=True).update(withdrawn_at=now)
        record_change(
            buy,
            f"Division of {division.line.produce} withdrawn: {why.strip()}",
            coop=buy.coop,
            by=by,
            before={"division": division.pk, "rule": division.rule, "shares": _shares_of(division)},
        )
        if buy.stage == Buy.Stage.DIVIDED:
            move_to(buy, Buy.Stage.COLLECTED, "Back to collected, to divide anew", by=by)
        renew_buy(buy.pk)


def ease_ask(ask: Ask, *, at_least: int, or_none: bool, by: Member) -> None:
    """Lower a minimum that the tally cannot keep, with the household's yes. It is never raised."""
    with transaction.atomic():
        buy = lock_buy(by, ask.line.buy_id)
        if not rights.can_ease(by, ask):
            raise NotAllowed(WHO_EASES)
        require_stage(buy, Buy.Stage.COLLECTED)
        _refuse_second(ask.line, buy)
        ask.refresh_from_db(fields=["at_least", "or_none"])
        _require_easier(ask, at_least, or_none=or_none)
        before = {"at_least": ask.at_least, "or_none": ask.or_none}
        ask.at_least, ask.or_none = at_least, or_none
        ask.changed_at = timezone.now()
        ask.save(update_fields=["at_least", "or_none", "changed_at"])
        least = quantity(at_least, ask.line.measure)
        record_change(
            buy,
            f"{ask.household} takes less of {ask.line.produce}: at least {least}"
            + (", or nothing" if or_none else ""),
            coop=buy.coop,
            by=by,
            before={"ask": ask.pk, **before},
            after={"ask": ask.pk, "at_least": at_least, "or_none": or_none},
        )


# ---- what must hold -------------------------------------------------------------------------
def _require_runner(by: Member, buy: Buy) -> None:
    if not rights.can_run(by, buy):
        raise NotAllowed("A division is published by a coordinator, or by who leads this buy.")


def _refuse_second(line: Line, buy: Buy) -> None:
    standing = (
        Division.objects.filter(line=line, withdrawn_at__isnull=True)
        .select_related("published_by")
        .first()
    )
    if standing is None:
        return
    at = standing.published_at.astimezone(ZoneInfo(buy.coop.time_zone))
    raise TooLate(
        f"{standing.published_by} published a division of {line.produce} by "
        f"“{RULES[standing.rule].label}” at {at.hour}:{at.minute:02}. That one stands; nothing of "
        "yours was saved."
    )


def _require_loose(division: Division) -> None:
    if is_produce_charged(division.line):
        raise TooLate(
            "The produce is charged by now. Reverse the charge first, then withdraw the division."
        )
    fetched = division.shares.filter(fetched_at__isnull=False, amount__gt=0).count()
    fetched += division.spares.filter(claims__fetched_at__isnull=False).count()
    if fetched:
        raise Refused(
            f"{fetched} ticked as fetched already. Untick what was not fetched; what was fetched "
            "cannot be divided anew."
        )


def _require_easier(ask: Ask, at_least: int, *, or_none: bool) -> None:
    if at_least > ask.at_least or (ask.or_none and not or_none):
        least = quantity(ask.at_least, ask.line.measure)
        raise Refused(f"A minimum can only be lowered here; it is {least}.", field="at_least")
    if at_least == ask.at_least and or_none == ask.or_none:
        raise Refused("That is the minimum as it stands.", field="at_least")


# ---- writing --------------------------------------------------------------------------------
def _publish(case: Case, rule: core.Rule, *, by: Member) -> Division:
    result = _divided(case, rule)
    try:
        with transaction.atomic():
            division = Division.objects.create(
                line=case.line,
                rule=rule,
                amount=case.amount,
                left_over=result.left_over,
                surplus=min(case.surplus, result.left_over),
                settled_for="" if result.exact else NOT_PROVEN,
                published_by=by,
            )
    except IntegrityError:
        _refuse_second(case.line, case.line.buy)
        raise
    Share.objects.bulk_create(
        Share(division=division, household=ask.household, wanted=ask.wanted, amount=amount)
        for ask, amount in zip(case.asks, result.shares, strict=True)
    )
    if result.left_over:
        Spare.objects.create(division=division, amount=result.left_over)
    return division


def _divided(case: Case, rule: core.Rule) -> core.Division:
    if case.impossible:
        names = join_words(ask.household for ask in case.impossible)
        raise Refused(
            f"The minimum of {names} fits no whole number of containers. Lower it, and divide "
            "again."
        )
    try:
        return case.divided_by(rule)
    except core.CannotCover as refusal:
        short = quantity(refusal.short_by, case.line.measure)
        raise CannotCover(
            f"The tally is {short} short of what was promised at the least. Lower a minimum with "
            "the household's yes, and divide again."
        ) from refusal


def _tell(division: Division, buy: Buy, *, case: Case, why: str, by: Member) -> None:
    amounts = [quantity(steps, case.line.measure) for steps in (case.amount, case.wanted)]
    sentence = (
        f"{case.line.produce} divided by “{RULES[division.rule].label}”: "
        f"{amounts[0]} of {amounts[1]} asked"
    )
    record_change(
        buy,
        f"{sentence}. {why}" if why else sentence,
        coop=buy.coop,
        by=by,
        after={
            "division": division.pk,
            "rule": division.rule,
            "amount": case.amount,
            "seen": case.digest,
            "why": why,
            "shares": _shares_of(division),
        },
    )


def _shares_of(division: Division) -> dict[str, Any]:
    return {str(share.household_id): share.amount for share in division.shares.all()}
