"""Reads the demo season from fixtures/demo: a script of buys, and the lists that people keep."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "demo"
Row = dict[str, str]


@dataclass(frozen=True)
class Script:
    """The demo as it is written: the co-op and its buys, and one list of rows for each file."""

    coop: dict[str, Any]
    buys: list[dict[str, Any]]
    households: list[Row]
    farms: list[Row]
    offers: list[Row]
    asks: list[Row]


def read_script(folder: Path = FOLDER) -> Script:
    """Read the whole script."""
    with (folder / "buys.toml").open("rb") as file:
        season = tomllib.load(file)
    lists = {
        name: _rows(folder / f"{name}.csv") for name in ("households", "farms", "offers", "asks")
    }
    return Script(coop=season["coop"], buys=season["buy"], **lists)


def _rows(path: Path) -> list[Row]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def steps(text: str, measure: str) -> int:
    """Base steps of an amount as people write it: "52.5" lb is 525 tenths, "60" ears are 60."""
    return int(Decimal(text or 0) * (10 if measure == "weight" else 1))


def cents(text: str) -> int:
    """Minor units of an amount of money as people write it."""
    return int(Decimal(text or 0) * 100)


def price_breaks(text: str) -> tuple[tuple[int, int], ...]:
    """Breaks as a list writes them: "1:22.00; 6:19.50" is 22.00 each, and from six on 19.50."""
    pairs = (part.split(":") for part in text.split(";"))
    return tuple((int(count), cents(price)) for count, price in pairs)
