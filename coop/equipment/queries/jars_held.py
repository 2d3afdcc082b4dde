"""How many jars a load of a canner holds, by its class in the published table."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from coop.core.figures import plural
from coop.core.tables import CannerRow, canner_rows, rule_row, spelled_out
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Thing

#: What the table calls each kind of canner.
IN_THE_TABLE = {ThingKind.PRESSURE_CANNER: "pressure", ThingKind.WATER_BATH_CANNER: "boiling_water"}
#: Chosen on the form by who has a pot that holds less than the smallest canner.
TOO_SMALL = "too_small"


@dataclass(frozen=True)
class Held:
    """Jars of one size in one load: from `low` to `high` of them, in so many layers."""

    jar: str
    low: int
    high: int
    layers: int
    note: str
    sources: tuple[str, ...]

    @property
    def count(self) -> str:
        """How many: "7", "8 to 9"."""
        return f"{self.low}" if self.low == self.high else f"{self.low} to {self.high}"

    @property
    def jars(self) -> str:
        """Of what, for more than one: "quarts"."""
        return plural(2, self.jar.replace("_", "-"))

    @property
    def said(self) -> str:
        """In words: "18 to 20 pints in two layers"."""
        return f"{self.count} {self.jars}{' in two layers' if self.layers > 1 else ''}"


@dataclass(frozen=True)
class CannerClass:
    """One class of a kind of canner, and what a load of it holds."""

    key: str
    name: str
    held: tuple[Held, ...]

    @property
    def said(self) -> str:
        """In words: "standard: 7 quarts or 8 to 9 pints"."""
        return f"{self.name}: {' or '.join(each.said for each in self.held)}"

    @property
    def said_with_note(self) -> str:
        """The same, with where it comes from where that is no published guide."""
        notes = dict.fromkeys(each.note for each in self.held if "maker" in each.note)
        return " ".join([self.said, *(f"({note})" for note in notes)])

    @property
    def sources(self) -> str:
        """Who says so, spelled out."""
        keys = dict.fromkeys(key for each in self.held for key in each.sources)
        return "; ".join(spelled_out(key) for key in keys)


def classes_of(kind: str) -> list[CannerClass]:
    """The classes of a kind of canner, as the table orders them; [] for what is no canner.

    >>> [each.said for each in classes_of("water_bath_canner")]
    ['standard: 7 quarts or 8 to 9 pints']
    """
    known = dict(IN_THE_TABLE).get(ThingKind(kind)) if kind in ThingKind.values else None
    rows = [row for row in canner_rows() if row.canner_type == known]
    return [
        CannerClass(key, key.replace("_", " "), tuple(map(_held, of_class)))
        for key, of_class in groupby(rows, key=lambda row: row.class_)
    ]


def class_of(thing: Thing) -> CannerClass | None:
    """The class that a canner was said to have; None where nobody said, and for other things."""
    return next((each for each in classes_of(thing.kind) if each.key == thing.canner_class), None)


def too_small_said() -> str:
    """From what size on a pressure canner counts as one, and who says so."""
    row = rule_row("pressure", "minimum_size_quart_jars")
    sources = "; ".join(spelled_out(key) for key in row.source)
    return (
        f"For the published processes a pressure canner must hold at least {row.value} quart jars, "
        f"{row.note} ({sources}). A smaller one is no canner for them."
    )


def _held(row: CannerRow) -> Held:
    return Held(row.jar, row.jars_low, row.jars_high, row.layers, row.note, tuple(row.source))
