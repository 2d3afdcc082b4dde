"""The picture of a line's plans: what the buy costs against what it brings, in whole units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coop.buying.queries.picking import LinePicking, PlanRow

#: The drawing is 360 by 168 units; the plot stands inside, with room for words on each side.
WIDTH, HEIGHT = 360, 168
LEFT, RIGHT, TOP, BOTTOM = 16, 344, 18, 136
WORD = 24  # half of a word in the drawing


@dataclass(frozen=True)
class Point:
    """One plan in the drawing."""

    x: int
    y: int
    row: PlanRow


@dataclass(frozen=True)
class PlanChart:
    """Points from left to right, the band of what the asks bear, and where what is wanted lies."""

    points: tuple[Point, ...]
    path: str
    band_x: int
    band_width: int
    wanted_x: int
    width: int = WIDTH
    height: int = HEIGHT
    top: int = TOP
    bottom: int = BOTTOM

    @property
    def band_height(self) -> int:
        """How high the band is."""
        return self.bottom - self.top

    @property
    def wanted_anchor(self) -> str:
        """Which end of the word "wanted" stands at its line, so that it is not cut off."""
        if self.wanted_x < LEFT + WORD:
            return "start"
        return "end" if self.wanted_x > RIGHT - WORD else "middle"

    @property
    def words_y(self) -> int:
        """Where the words under the plot stand."""
        return self.height - 8


def plan_chart(picking: LinePicking) -> PlanChart | None:
    """The picture of the plans shown; none where there are fewer than two to compare."""
    rows = picking.rows
    needs = picking.plans.needs
    if len(rows) < 2:  # noqa: PLR2004 - a line needs two ends
        return None
    amounts = [row.amount for row in rows] + [needs.wanted]
    first, last = min(amounts), max(amounts)
    points = _points(rows, first, last)
    band_start = _placed(max(needs.lower, first), first, last, to=(LEFT, RIGHT))
    band_end = _placed(min(needs.bears, last), first, last, to=(LEFT, RIGHT))
    return PlanChart(
        points=points,
        path=" ".join(f"{point.x},{point.y}" for point in points),
        band_x=band_start,
        band_width=max(2, band_end - band_start),
        wanted_x=_placed(needs.wanted, first, last, to=(LEFT, RIGHT)),
    )


def _points(rows: Sequence[PlanRow], first: int, last: int) -> tuple[Point, ...]:
    costs = [row.total_cents for row in rows]
    return tuple(
        Point(
            _placed(row.amount, first, last, to=(LEFT, RIGHT)),
            _placed(row.total_cents, min(costs), max(costs), to=(BOTTOM - 8, TOP + 10)),
            row,
        )
        for row in rows
    )


def _placed(value: int, first: int, last: int, *, to: tuple[int, int]) -> int:
    """Where a value between first and last lies between two ends of the drawing."""
    if last == first:
        return (to[0] + to[1]) // 2
    return to[0] + (value - first) * (to[1] - to[0]) // (last - first)
