"""Published figures for preserving: CSV files, each row with its source, read and checked once.

Minutes, pressures, yields and storage life come from here and from nowhere else. What has no row
was not published, or could not be confirmed. The CSV files beside this one are the only thing that
the core reads.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import cast

from coop.core.tables.kinds import JARS, KINDS, METHODS, OPTIONS, PACKS, PRESSURE_METHODS
from coop.core.tables.reading import Loaded, Table, WrongTable, read_table
from coop.core.tables.rows import (
    AcidRow,
    BandRow,
    BlanchingRow,
    CannerRow,
    CautionRow,
    ContainerRow,
    DryingRow,
    FreezingRow,
    ProcessRow,
    RuleRow,
    SaltRow,
    SourceRow,
    StorageRow,
    SyrupRow,
    UnitRow,
    YieldRow,
)

__all__ = [
    "JARS",
    "METHODS",
    "OPTIONS",
    "PACKS",
    "PRESSURE_METHODS",
    "TABLES",
    "AcidRow",
    "BandRow",
    "BlanchingRow",
    "CannerRow",
    "CautionRow",
    "ContainerRow",
    "DryingRow",
    "FreezingRow",
    "ProcessRow",
    "RuleRow",
    "SaltRow",
    "SourceRow",
    "StorageRow",
    "SyrupRow",
    "Table",
    "UnitRow",
    "WrongTable",
    "YieldRow",
    "acid_rows",
    "band_rows",
    "blanching_rows",
    "canner_rows",
    "caution",
    "cautions",
    "container_rows",
    "drying_rows",
    "freezing_rows",
    "process_rows",
    "rule",
    "rule_row",
    "salt_rows",
    "source_rows",
    "spelled_out",
    "storage_rows",
    "syrup_rows",
    "unit",
    "yield_rows",
]

_KINDS = {kind.name: kind for kind in KINDS}


@cache
def _loaded(name: str) -> Loaded:
    text = files(__name__).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    # The sources name no source themselves, so they are read before they are asked for.
    keys = frozenset() if name == "sources" else frozenset(row.key for row in source_rows())
    return read_table(_KINDS[name], text, keys)


class _Tables(Mapping[str, Table]):
    """Every table by its name, each read when it is first asked for."""

    def __getitem__(self, name: str) -> Table:
        if name not in _KINDS:
            raise KeyError(name)
        return _loaded(name).table

    def __iter__(self) -> Iterator[str]:
        return iter(_KINDS)

    def __len__(self) -> int:
        return len(_KINDS)


#: Every table by name, in the order that a reader wants, as printed.
TABLES: Mapping[str, Table] = _Tables()


def process_rows() -> tuple[ProcessRow, ...]:
    """Every tested process, in the order of the table."""
    return cast("tuple[ProcessRow, ...]", _loaded("process_times").rows)


def yield_rows() -> tuple[YieldRow, ...]:
    """Pounds and jars."""
    return cast("tuple[YieldRow, ...]", _loaded("canning_yields").rows)


def freezing_rows() -> tuple[FreezingRow, ...]:
    """Frozen pints and blanching."""
    return cast("tuple[FreezingRow, ...]", _loaded("freezing_yields").rows)


def drying_rows() -> tuple[DryingRow, ...]:
    """Hours and temperatures of drying."""
    return cast("tuple[DryingRow, ...]", _loaded("drying").rows)


def blanching_rows() -> tuple[BlanchingRow, ...]:
    """Minutes of blanching, by purpose."""
    return cast("tuple[BlanchingRow, ...]", _loaded("blanching").rows)


def acid_rows() -> tuple[AcidRow, ...]:
    """Acid to each jar."""
    return cast("tuple[AcidRow, ...]", _loaded("acidification").rows)


def salt_rows() -> tuple[SaltRow, ...]:
    """Salt to a jar, a crock or a batch."""
    return cast("tuple[SaltRow, ...]", _loaded("salt").rows)


def syrup_rows() -> tuple[SyrupRow, ...]:
    """Water and sugar to a load."""
    return cast("tuple[SyrupRow, ...]", _loaded("syrups").rows)


def canner_rows() -> tuple[CannerRow, ...]:
    """Jars in a load of each canner."""
    return cast("tuple[CannerRow, ...]", _loaded("canners").rows)


def band_rows() -> tuple[BandRow, ...]:
    """Bands of altitude."""
    return cast("tuple[BandRow, ...]", _loaded("altitude_bands").rows)


def container_rows() -> tuple[ContainerRow, ...]:
    """Net pounds of containers."""
    return cast("tuple[ContainerRow, ...]", _loaded("containers").rows)


def storage_rows() -> tuple[StorageRow, ...]:
    """Months that food keeps."""
    return cast("tuple[StorageRow, ...]", _loaded("storage_life").rows)


def source_rows() -> tuple[SourceRow, ...]:
    """Every source that a row may name."""
    return cast("tuple[SourceRow, ...]", _loaded("sources").rows)


def rule(canner_type: str, rule: str) -> Fraction:
    """One figure of how a canner is used; its unit is in its name.

    Raises: LookupError where none is published.

    >>> rule("pressure", "vent_minutes")
    Fraction(10, 1)
    """
    return rule_row(canner_type, rule).value


def rule_row(canner_type: str, rule: str) -> RuleRow:
    """The row of such a figure, with its unit and its sources.

    Raises: LookupError where none is published.

    >>> rule_row("pressure", "vent_minutes").unit
    'minutes'
    """
    for row in _loaded("canner_rules").rows:
        if (row.canner_type, row.rule) == (canner_type, rule):
            return cast("RuleRow", row)
    raise LookupError(f"No rule {rule!r} is published for {canner_type!r}.")


def cautions(topic: str) -> tuple[CautionRow, ...]:
    """The cautions of one topic, in the order of the table; none for an unknown topic.

    >>> [each.id for each in cautions("dial_gauge")]
    ['dial_gauge_1', 'dial_gauge_2']
    """
    return tuple(row for row in _loaded("cautions").rows if row.topic == topic)


def caution(id: str) -> CautionRow:  # noqa: A002 - the column's own name
    """One caution by its id.

    Raises: LookupError where there is none.
    """
    for row in _loaded("cautions").rows:
        if row.id == id:
            return cast("CautionRow", row)
    raise LookupError(f"There is no caution {id!r}.")


def unit(name: str) -> UnitRow:
    """One unit of measure by its name.

    Raises: LookupError where there is none.

    >>> unit("bushel").cubic_inches == Fraction("2150.42")
    True
    """
    for row in _loaded("units").rows:
        if row.unit == name:
            return cast("UnitRow", row)
    raise LookupError(f"There is no unit {name!r}.")


def spelled_out(key: str) -> str:
    """A source key with its title, publisher and year.

    Raises: LookupError for a key that no table names.

    >>> spelled_out("USDA15").startswith("Complete Guide to Home Canning")
    True
    """
    for row in source_rows():
        if row.key == key:
            return row.spelled_out
    raise LookupError(f"There is no source {key!r}.")
