"""Reads what the demo's households do in the kitchen and with things, and what they are told."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from coop.buying.demo.people import Members
from coop.buying.demo.script import FOLDER, Row
from coop.people.models import Coop, Household, Member

Event = tuple[datetime, Callable[[], object]]
Part = Mapping[str, Any]


@dataclass(frozen=True)
class KitchenScript:
    """The season as it is written: its parts by name, and the lists of homes and of counts."""

    season: Part
    equipment: Part
    notices: Part
    homes: list[Row]
    jars: list[Row]

    def first_day(self) -> int:
        """The earliest day that anything happens on, counted from today."""
        parts = (part for name in ("kitchen", "loan", "plan", "load") for part in self.season[name])
        days: list[int] = [part["at"][0] for part in parts if "at" in part]
        return min(int(self.season["homes_at"][0]), *days, *(int(row["day"]) for row in self.jars))


def read_kitchen_script(folder: Path = FOLDER) -> KitchenScript:
    """Read the whole script."""
    return KitchenScript(
        season=_parts(folder / "kitchen.toml"),
        equipment=_parts(folder / "equipment.toml"),
        notices=_parts(folder / "notices.toml"),
        homes=_rows(folder / "homes.csv"),
        jars=_rows(folder / "jars.csv"),
    )


def _parts(path: Path) -> Part:
    with path.open("rb") as file:
        return tomllib.load(file)


def _rows(path: Path) -> list[Row]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@dataclass
class Stage:
    """Who plays, when it is now, and what the acts have made so far, by the keys of the script."""

    members: Members
    now: datetime
    made: dict[str, Any] = field(default_factory=dict)

    @property
    def coop(self) -> Coop:
        """The demo co-op."""
        return next(iter(self.members.values())).coop

    def moment(self, part: Part) -> datetime:
        """When a part of the script happens: a day and a time, or so many hours ago or from now."""
        if "hours_ago" in part:
            return self.now - timedelta(hours=part["hours_ago"])
        if "hour" in part:
            return self.hour(part["hour"])
        day, at = part["at"]
        return self.at(day, at)

    def at(self, day: int, at: str) -> datetime:
        """A time of a day, both in the co-op's zone."""
        return datetime.combine(self.day(day), time.fromisoformat(at), tzinfo=self.now.tzinfo)

    def hour(self, hours: int) -> datetime:
        """So many hours from the full hour that began last."""
        full = self.now.replace(minute=0, second=0, microsecond=0).astimezone(UTC)
        return full + timedelta(hours=hours)

    def day(self, day: int) -> date:
        """A day, counted from today."""
        return (self.now + timedelta(days=day)).date()

    def speaker(self, name: str) -> Member:
        """Who speaks for a household: its first member."""
        return next(each for each in self.members.values() if each.household.name == name)

    def household(self, name: str) -> Household:
        """A household by its name."""
        return self.speaker(name).household
