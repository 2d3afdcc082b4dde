"""Moving a buy from stage to stage. Callers hold the lock of `lock_buy`."""

from __future__ import annotations

from coop.buying.errors import WrongStage
from coop.buying.models import Buy
from coop.people.changes import record_change
from coop.people.models import Member


def require_stage(buy: Buy, *stages: Buy.Stage) -> None:
    """Raise WrongStage, in words, unless the buy is at one of these stages."""
    if buy.stage not in stages:
        allowed = " or ".join(stage.label for stage in stages)
        raise WrongStage(
            f"This buy is {Buy.Stage(buy.stage).label} by now; that can be done only while it is "
            f"{allowed}. Look at the buy as it stands."
        )


def move_to(buy: Buy, stage: Buy.Stage, sentence: str, *, by: Member | None) -> None:
    """Set the stage and write it into the history of the buy."""
    before = buy.stage
    buy.stage = stage
    buy.save(update_fields=["stage"])
    record_change(
        buy, sentence, coop=buy.coop, by=by, before={"stage": before}, after={"stage": stage}
    )
