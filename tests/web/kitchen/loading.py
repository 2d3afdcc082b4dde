"""What somebody types of a load, and the lot of it."""

from typing import Any

from django.urls import reverse

from coop.kitchen.models import Load
from coop.people.models import Household, Member

CORN = "sweet_corn|whole_kernel|hot|quart|1"
#: By hand, from USDA, Complete Guide to Home Canning (2015), guide 4: corn in quarts, hot pack,
#: dial gauge, 4,001 to 6,000 ft. The co-op of the cast stands at 5,430 ft.
MINUTES, PSI = 85, 13
#: Half an hour before the clock of the tests, as Denver shows it.
ENDED = "2026-08-11T08:30"


def typed(member: Member, **others: Any) -> dict[str, Any]:
    """A load of seven quarts of corn, run as published."""
    usual = {
        "rows": 1,
        **line(member.household),
        "canner": "The big canner",
        "minutes": MINUTES,
        "psi": PSI,
        "vent_minutes": 10,
        "ended_at": ENDED,
        "gauge_tested_on": "2026-05-01",
        "watcher": member.pk,
    }
    return {name: value for name, value in (usual | others).items() if value is not None}


def line(household: Household, row: int = 0, key: str = CORN, count: int = 7) -> dict[str, Any]:
    """One line of jars."""
    values = {"household": household.pk, "key": key, "count": count, "mouth": "regular"}
    return {f"{name}_{row}": value for name, value in values.items()}


def page(member: Member, name: str, *parts: Any, query: str = "") -> str:
    """An address of the kitchen in the member's co-op."""
    return reverse(f"kitchen:{name}", args=[member.coop.slug, *parts]) + query


def writing(member: Member, method: str = "dial_gauge", more: str = "") -> str:
    """The page where a load is written down."""
    return page(member, "new_load", query=f"?method={method}{more}")


def last_load() -> Load:
    """The load that was written down last."""
    return Load.objects.latest("id")
