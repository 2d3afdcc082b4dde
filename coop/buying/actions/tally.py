"""Writing down what was really loaded, and saying that all of it is in."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from coop.buying import rights
from coop.buying.actions.stages import move_to, require_stage
from coop.buying.errors import NotAllowed, Refused, TooLate
from coop.buying.models import Buy, Division, Supply, Tally, Weighing
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.tally import lines_came
from coop.core.figures import quantity
from coop.people.changes import record_change
from coop.people.models import Member


@dataclass(frozen=True)
class OnScale:
    """What the scale (or the count) said for one or more containers together, in base steps."""

    containers: int
    gross: int
    tare: int = 0


@dataclass(frozen=True)
class Loaded:
    """One supply as it came: amounts in base steps, the bill in cents."""

    containers: int
    weighings: tuple[OnScale, ...] = ()
    refused: int = 0
    culls: int = 0
    soft: int = 0
    firm: int = 0
    grade: str = ""
    bill_cents: int = 0
    note: str = ""

    @property
    def delivered(self) -> int:
        """What the scale said, less tare."""
        return sum(each.gross - each.tare for each in self.weighings)

    @property
    def usable(self) -> int:
        """What is fit to divide."""
        return self.delivered - self.refused - self.culls


def record_tally(supply: Supply, loaded: Loaded, *, by: Member) -> Tally:
    """Write or mend the tally of a supply. Raises Refused, NotAllowed, TooLate, WrongStage."""
    with transaction.atomic():
        buy = lock_buy(by, supply.line.buy_id)
        _require_runner(by, buy)
        require_stage(buy, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED)
        _require_undivided(supply)
        _check(loaded, supply.line.measure)
        before = Tally.objects.filter(supply=supply).prefetch_related("weighings").first()
        known = _figures(before) if before else {}
        tally = _write(supply, loaded, by=by)
        record_change(
            buy,
            f"{supply.line.produce} from {supply.farm}: {loaded.containers} came, "
            f"{quantity(loaded.delivered, supply.line.measure)}, "
            f"{quantity(loaded.usable, supply.line.measure)} to divide",
            coop=buy.coop,
            by=by,
            before=known,
            after=_figures(tally),
        )
        return tally


def finish_tally(buy: Buy, *, by: Member) -> None:
    """Everything that was called in is counted: the buy is collected."""
    with transaction.atomic():
        buy = lock_buy(by, buy.pk)
        _require_runner(by, buy)
        require_stage(buy, Buy.Stage.CALLED_IN)
        awaited = [
            f"{each.supply.line.produce} from {each.supply.farm}"
            for came in lines_came(buy)
            for each in came.supplies
            if each.is_awaited
        ]
        if awaited:
            raise Refused(
                f"Not counted yet: {', '.join(awaited)}. If nothing came of it, write down 0."
            )
        move_to(buy, Buy.Stage.COLLECTED, "Everything is counted", by=by)
        renew_buy(buy.pk)


def _require_runner(by: Member, buy: Buy) -> None:
    if not rights.can_run(by, buy):
        raise NotAllowed("The tally is written by a coordinator, or by who leads this buy.")


def _require_undivided(supply: Supply) -> None:
    if Division.objects.filter(line=supply.line_id, withdrawn_at__isnull=True).exists():
        raise TooLate(
            f"{supply.line.produce} is divided by now. To mend the tally, withdraw the division "
            "first; everybody sees that it was withdrawn, and why."
        )


def _check(loaded: Loaded, measure: str) -> None:
    weighed = sum(each.containers for each in loaded.weighings)
    if weighed != loaded.containers:
        raise Refused(
            f"{loaded.containers} came and {weighed} are weighed. Weigh the rest, or mend the "
            "count.",
            field="containers",
        )
    if any(each.tare > each.gross for each in loaded.weighings):
        raise Refused("Empty containers weigh more here than full ones.", field="tare")
    delivered = quantity(loaded.delivered, measure)
    if loaded.usable < 0:
        field = "refused" if loaded.refused > loaded.delivered else "culls"
        raise Refused(f"That is more than the {delivered} that came.", field=field)
    if loaded.soft + loaded.firm > loaded.usable:
        usable = quantity(loaded.usable, measure)
        raise Refused(f"Soft and firm together are more than the {usable} usable.", field="firm")


def _write(supply: Supply, loaded: Loaded, *, by: Member) -> Tally:
    tally, _ = Tally.objects.update_or_create(
        supply=supply,
        defaults={
            "containers": loaded.containers,
            "refused": loaded.refused,
            "culls": loaded.culls,
            "soft": loaded.soft,
            "firm": loaded.firm,
            "grade": loaded.grade,
            "bill_cents": loaded.bill_cents,
            "note": loaded.note,
            "by": by,
        },
    )
    tally.weighings.all().delete()
    Weighing.objects.bulk_create(
        Weighing(tally=tally, containers=each.containers, gross=each.gross, tare=each.tare)
        for each in loaded.weighings
    )
    return tally


def _figures(tally: Tally) -> dict[str, object]:
    fields = ("containers", "refused", "culls", "soft", "firm", "grade", "bill_cents", "note")
    figures: dict[str, object] = {name: getattr(tally, name) for name in fields}
    weighings = tally.weighings.values_list("containers", "gross", "tare")
    return figures | {"weighings": [list(each) for each in weighings]}
