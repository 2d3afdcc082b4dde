"""The published tables read by themselves, not through the project's loader."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "coop" / "core" / "tables"


def published(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def process_key(row: dict[str, str]) -> tuple[str, str, str, str, str]:
    return (row["produce"], row["product"], row["pack"], row["method"], row["jar"])
