"""What is done only after a yes: a load that fell short, or holds more than a canner takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from coop.core.preserving.as_run import Finding
from coop.core.preserving.room import too_full
from coop.kitchen.errors import FellShort
from coop.kitchen.models import Load


def require_yes(short: Sequence[Finding], full: Sequence[Finding], *, ran_so: bool) -> None:
    """Raise FellShort where something is told against a load and nobody said that it was so."""
    said = [
        *_said("Less than what is published.", short),
        *_said("More than a canner takes.", full),
    ]
    if said and not ran_so:
        raise FellShort(" ".join(said), field="ran_so")


def _said(head: str, findings: Sequence[Finding]) -> Iterable[str]:
    if findings:
        yield head
        yield from (each.sentence for each in findings)
        yield f"Source: {findings[0].main_source}."


def crowded(load: Load, more: Mapping[str, int], *, but: int = 0) -> tuple[Finding, ...]:
    """What is too much for one load: its lots, without the one with the id `but`, and `more`.

    Only jars of the sizes in `more` are told of: the others were so before.
    """
    held: Counter[str] = Counter(more)
    if load.pk:
        for jar, count in load.lots.exclude(pk=but).values_list("jar", "counted_in"):
            held[jar] += count
    return too_full(load.method, {jar: held[jar] for jar in more})
