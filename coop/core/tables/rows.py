"""What one row of each table is. Figures are as published; an empty cell is None, or no word.

The fields stand in the order of the columns and carry their names, so that a table and its rows
cannot drift apart. Altitudes are feet, pressures psi on the gauge, weights pounds.
"""

from dataclasses import dataclass
from fractions import Fraction

Sources = tuple[str, ...]


@dataclass(frozen=True)
class ProcessRow:
    """A tested process in one band of altitude, both ends in it; no upper end is open."""

    produce: str
    product: str
    pack: str
    method: str
    jar: str
    altitude_low_ft: int
    altitude_high_ft: int | None
    minutes: int
    pressure_psi: int | None
    headspace_in: Fraction | None
    option: int
    acidify: bool
    source: Sources
    note: str


@dataclass(frozen=True)
class YieldRow:
    """How many pounds fill jars, by the load, the jar, the container or the tested recipe."""

    produce: str
    product: str
    container: str
    container_lb: Fraction | None
    lb_per_7qt_load: Fraction | None
    lb_per_9pt_load: Fraction | None
    lb_per_quart: Fraction | None
    lb_per_pint: Fraction | None
    yield_low: Fraction | None
    yield_high: Fraction | None
    yield_unit: str
    source: Sources
    note: str


@dataclass(frozen=True)
class FreezingRow:
    """Frozen pints of a container or a pound, and the minutes in boiling water before (0: none)."""

    produce: str
    form: str
    container: str
    container_lb: Fraction | None
    frozen_pints_low: Fraction | None
    frozen_pints_high: Fraction | None
    lb_per_pint_low: Fraction | None
    lb_per_pint_high: Fraction | None
    blanch_minutes: Fraction | None
    blanch_note: str
    source: Sources


@dataclass(frozen=True)
class DryingRow:
    """What is done before drying, how hot (degrees F) and how long (hours)."""

    produce: str
    form: str
    pretreatment: str
    steam_blanch_min_low: Fraction | None
    steam_blanch_min_high: Fraction | None
    water_blanch_min_low: Fraction | None
    water_blanch_min_high: Fraction | None
    temperature_f: int | None
    hours_low: Fraction | None
    hours_high: Fraction | None
    dried_lb_per_fresh_lb: Fraction | None
    source: Sources
    note: str


@dataclass(frozen=True)
class BlanchingRow:
    """Minutes in boiling water or steam, for one purpose."""

    produce: str
    form: str
    purpose: str
    method: str
    minutes_low: Fraction | None
    minutes_high: Fraction | None
    water_gallons_per_lb: Fraction | None
    source: Sources
    note: str


@dataclass(frozen=True)
class AcidRow:
    """Acid to a jar: for safety, never left out, or for the color."""

    produce: str
    product: str
    purpose: str
    acid: str
    jar: str
    amount: Fraction
    unit: str
    required: str
    source: Sources
    note: str


@dataclass(frozen=True)
class SaltRow:
    """Salt to a jar, a crock or a tested batch, with the water and vinegar that belong to it."""

    produce: str
    product: str
    use: str
    per: str
    salt_amount: Fraction
    salt_unit: str
    water_cups: Fraction | None
    vinegar_cups: Fraction | None
    required: str
    source: Sources
    note: str


@dataclass(frozen=True)
class SyrupRow:
    """Cups of water and sugar for one canner load."""

    syrup: str
    sugar_percent: int
    load: str
    water_cups: Fraction
    sugar_cups: Fraction
    typical_fruits: str
    source: Sources
    note: str


@dataclass(frozen=True)
class CannerRow:
    """How many jars of a size one load of a canner holds."""

    canner_type: str
    class_: str
    liquid_quarts_low: int | None
    liquid_quarts_high: int | None
    jar: str
    jars_low: int
    jars_high: int
    layers: int
    source: Sources
    note: str


@dataclass(frozen=True)
class RuleRow:
    """One figure of how a canner, or a crock, is used."""

    canner_type: str
    rule: str
    value: Fraction
    unit: str
    source: Sources
    note: str


@dataclass(frozen=True)
class BandRow:
    """One band of altitude of a scheme, both ends in it, and its pressure."""

    method: str
    scheme: str
    altitude_low_ft: int
    altitude_high_ft: int | None
    pressure_psi: int | None
    source: Sources
    note: str


@dataclass(frozen=True)
class ContainerRow:
    """Net pounds of a container, or a count."""

    produce: str
    container: str
    net_lb_low: Fraction | None
    net_lb_high: Fraction | None
    count_low: int | None
    count_high: int | None
    count_unit: str
    source: Sources
    note: str


@dataclass(frozen=True)
class StorageRow:
    """How many months a preserved food keeps, and whether quality or safety ends it."""

    kind: str
    food: str
    storage_temperature_f: str
    months_low: Fraction | None
    months_high: Fraction | None
    basis: str
    source: Sources
    note: str


@dataclass(frozen=True)
class UnitRow:
    """A unit of measure and what it is in others."""

    unit: str
    kind: str
    cubic_inches: Fraction | None
    litres: Fraction | None
    kilograms: Fraction | None
    relation: str
    basis: str
    source: Sources


@dataclass(frozen=True)
class CautionRow:
    """One caution in a plain sentence."""

    id: str
    topic: str
    gist: str
    source: Sources


@dataclass(frozen=True)
class SourceRow:
    """A key that rows name as their source, spelled out, and what kind of source it is."""

    key: str
    spelled_out: str
    kind: str
