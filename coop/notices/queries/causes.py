"""Causes of which something stands to be told: an app finds there what has ended meanwhile."""

from __future__ import annotations

from coop.notices.models import Matter
from coop.people.models import Coop


def causes_told(coop: Coop, name: str) -> set[int]:
    """Keys of the causes called `name` of which a matter stands: of "loan:12" it is 12."""
    abouts = Matter.objects.filter(coop=coop, about__startswith=f"{name}:", dropped_at=None)
    return {int(about.partition(":")[2]) for about in abouts.values_list("about", flat=True)}
