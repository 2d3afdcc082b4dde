"""Every table: its title, what it is about, its rows, and the words that its columns may hold."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from coop.core.tables import rows

PRESSURE_METHODS = ("dial_gauge", "weighted_gauge")
METHODS = ("boiling_water", *PRESSURE_METHODS)
PACKS = ("hot", "raw")
JARS = ("half_pint", "pint", "quart", "half_gallon")
OPTIONS = (1, 2, 3)


@dataclass(frozen=True)
class Kind:
    """One table: its name, title and meaning; its class of rows; the words its columns may hold.

    `named` are the columns that are never empty; where `banded` is not empty, rows that agree in
    those columns are the bands of altitude of one key.
    """

    name: str
    title: str
    about: str
    row: type[Any]
    named: tuple[str, ...]
    known: Mapping[str, tuple[object, ...]] = field(default_factory=dict)
    banded: tuple[str, ...] = ()


KINDS = (
    Kind(
        "process_times",
        "Process times",
        "Minutes and pressure of every tested process, by food, pack, canner, jar and altitude.",
        rows.ProcessRow,
        ("produce", "product"),
        {"pack": PACKS, "method": METHODS, "jar": JARS, "option": OPTIONS},
        ("produce", "product", "pack", "method", "jar", "option"),
    ),
    Kind(
        "canning_yields",
        "Pounds and jars",
        "Pounds that fill a load, a jar or a tested recipe, and the jars that a container makes.",
        rows.YieldRow,
        ("produce", "product"),
        {"yield_unit": ("quarts", "pints", "half_pints", "")},
    ),
    Kind(
        "acidification",
        "Acid in each jar",
        "How much acid goes into each jar: for safety, whatever the canner, or to keep the color.",
        rows.AcidRow,
        ("produce", "product", "acid", "unit"),
        {
            "purpose": ("safety", "color"),
            "jar": (*JARS, "gallon_of_water"),
            "required": ("yes", "no"),
        },
    ),
    Kind(
        "altitude_bands",
        "Altitude",
        "The bands of altitude in which the minutes or the pressure of a process change.",
        rows.BandRow,
        ("scheme",),
        {"method": METHODS},
        ("method", "scheme"),
    ),
    Kind(
        "canner_rules",
        "Using a canner",
        "Figures of how a canner is filled, vented, watched, cooled and opened.",
        rows.RuleRow,
        ("rule", "unit"),
        {"canner_type": ("pressure", "boiling_water", "both", "fermenting")},
    ),
    Kind(
        "canners",
        "Jars in a canner",
        "How many jars of each size one load of a canner holds.",
        rows.CannerRow,
        ("class",),
        {"canner_type": ("pressure", "boiling_water"), "jar": JARS},
    ),
    Kind(
        "containers",
        "What containers hold",
        "Net pounds, or the count, of the containers that farms sell in.",
        rows.ContainerRow,
        ("produce", "container"),
    ),
    Kind(
        "salt",
        "Salt and brines",
        "Salt for taste, which may be left out, and salt of crocks and recipes, which may not.",
        rows.SaltRow,
        ("produce", "product", "per", "salt_unit"),
        {
            "use": (
                "jar_seasoning",
                "fermentation",
                "topping_brine",
                "weight_bag_brine",
                "soaking_brine",
                "pack_solution",
            ),
            "required": ("yes", "no"),
        },
    ),
    Kind(
        "syrups",
        "Syrups",
        "Cups of water and sugar for a canner load of fruit.",
        rows.SyrupRow,
        ("syrup",),
        {"load": ("7_quarts", "9_pints")},
    ),
    Kind(
        "freezing_yields",
        "Freezing",
        "How many frozen pints come of a container or a pound, and how long to blanch before.",
        rows.FreezingRow,
        ("produce", "form"),
    ),
    Kind(
        "drying",
        "Drying",
        "What to do before drying, how hot and about how long.",
        rows.DryingRow,
        ("produce", "form", "pretreatment"),
    ),
    Kind(
        "blanching",
        "Blanching",
        "Minutes in boiling water or steam before freezing, drying, canning or pickling.",
        rows.BlanchingRow,
        ("produce", "form"),
        {"purpose": ("freeze", "dry", "can", "pickle", "skin"), "method": ("water", "steam")},
    ),
    Kind(
        "storage_life",
        "How long it keeps",
        "Months that preserved food keeps, and whether quality or safety ends them.",
        rows.StorageRow,
        ("kind", "food"),
        {"basis": ("quality", "safety")},
    ),
    Kind(
        "cautions",
        "Cautions",
        "What must not go wrong, one plain sentence each.",
        rows.CautionRow,
        ("id", "topic", "gist"),
    ),
    Kind(
        "units",
        "Units",
        "Units of volume and weight, and what they are in each other.",
        rows.UnitRow,
        ("unit", "relation", "basis"),
        {"kind": ("dry_volume", "liquid_volume", "mass")},
    ),
    Kind(
        "sources",
        "Where the figures come from",
        "Every publication that a row names, with its title, publisher and year.",
        rows.SourceRow,
        ("key", "spelled_out"),
        {
            "kind": (
                "USDA guide",
                "copy of the USDA guide",
                "National Center",
                "university extension",
                "law and measures",
                "safety",
                "general page",
            )
        },
    ),
)
