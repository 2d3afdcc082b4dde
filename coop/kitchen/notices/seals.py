"""What is told of the seals of one load: each household of its own jars, until they are tried."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from zoneinfo import ZoneInfo

from django.urls import reverse

from coop.core import moments
from coop.core.figures import counted
from coop.core.tables import caution, spelled_out
from coop.kitchen.models import Load
from coop.kitchen.notices import kinds
from coop.kitchen.queries.dangers import dangers_of
from coop.kitchen.queries.lots import jars_said, lots_of, product_said, spoken_code, with_shelf
from coop.kitchen.queries.seals import Step, seal_times, step_of, unfinished
from coop.notices.says import Say

#: What the guide says of the seals, and of a jar that did not seal.
CAUTIONS = ("seals_1", "seals_2", "seals_3")
#: So many lots have a line of their own.
MOST_LOTS = 4
PAGES = {"count_out": "kitchen:count_out", "seals": "kitchen:seals", "unsealed": "kitchen:unsealed"}
TITLES = {
    "count_out": "try the seals",
    "seals": "try the seals",
    "unsealed": "say what did not seal",
}
BUTTONS = {"count_out": "Count out", "seals": "Write down the seals", "unsealed": "Say where"}


def seal_says(load: Load) -> Iterator[Say]:
    """To each household what its jars wait for; nothing of jars that nobody may eat."""
    grouped: defaultdict[int, list[Step]] = defaultdict(list)
    for step in _steps(load):
        grouped[step.lot.household_id].append(step)
    for steps in grouped.values():
        yield _say(load, steps)


def _steps(load: Load) -> Iterator[Step]:
    waiting = unfinished(with_shelf(lots_of(load.coop).filter(load=load)))
    lots = list(waiting.order_by("number"))
    dangers = dangers_of(load.coop, lots) if lots else {}
    for lot in lots:
        # What a lot waits for does not hang on the hour; any will do.
        step = step_of(lot, load.ended_at)
        if step and lot.pk not in dangers:
            yield step


def _say(load: Load, steps: Sequence[Step]) -> Say:
    household, zone = steps[0].lot.household, ZoneInfo(load.coop.time_zone)
    until = moments.by(seal_times(load).reprocess_until, zone)
    what = _first_of(steps)
    is_one = len(steps) == 1
    return Say(
        f"seals:{household.pk}",
        kinds.SEALS.code,
        household,
        load.ended_at,
        f"{product_said(steps[0].lot) if is_one else load}: {TITLES[what]} until {until}",
        f"{_to_do(what, steps)}, until {until}.",
        button=BUTTONS[what] if is_one else "The load",
        path=_path(load, steps),
        details=(
            *(() if is_one else _lots(steps)),
            *(caution(name).gist for name in CAUTIONS),
            f"The heat went off {moments.at(load.ended_at, zone)}: no jar of this load is "
            f"processed again after {until}.",
            sources_said(CAUTIONS),
        ),
        until=seal_times(load).reprocess_until,
    )


def _first_of(steps: Sequence[Step]) -> str:
    """What is to be done first."""
    whats = {step.what for step in steps}
    return next(what for what in PAGES if what in whats)


def _to_do(what: str, steps: Sequence[Step]) -> str:
    jars = _jars(steps[0]) if len(steps) == 1 else f"your {counted(len(steps), 'lot')}"
    if what == "count_out":
        return f"Count out {jars}, and try the seals"
    if what == "seals":
        return f"Try the seals of {jars}"
    return f"Say what became of {jars}: not sealed"


def _jars(step: Step) -> str:
    """Which jars one step is about: "7 quarts, lot 10 14"."""
    said = counted(step.left, "jar") if step.left else jars_said(step.lot, step.jars)
    return f"{said}, lot {spoken_code(step.lot)}"


def _lots(steps: Sequence[Step]) -> Iterator[str]:
    for step in steps[:MOST_LOTS]:
        state = ": not sealed" if step.what == "unsealed" else ""
        yield f"{product_said(step.lot)}: {_jars(step)}{state}."
    if len(steps) > MOST_LOTS:
        yield f"And {counted(len(steps) - MOST_LOTS, 'more lot')}."


def _path(load: Load, steps: Sequence[Step]) -> str:
    """The page of what the only lot waits for, else that of the load."""
    if len(steps) > 1:
        return reverse("kitchen:load", args=[load.coop.slug, load.pk])
    return reverse(PAGES[steps[0].what], args=[load.coop.slug, steps[0].lot.pk])


def sources_said(names: Sequence[str]) -> str:
    """Where cautions come from, as a line."""
    keys = dict.fromkeys(key for name in names for key in caution(name).source)
    return f"Source: {'; '.join(spelled_out(key) for key in keys)}."
