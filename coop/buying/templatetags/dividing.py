"""`{% load dividing %}`: the picture of a division. Its sums are in coop/buying/skyline.py."""

from collections.abc import Iterable
from typing import Any

from django import template

from coop.buying.skyline import skyline

register = template.Library()


@register.inclusion_tag("buying/divide/short_of.html")
def short_of(share: Any, measure: str) -> dict[str, object]:
    """`{% short_of share line.measure %}`: by how much a share is short of what was wanted."""
    return {"short": max(0, share.wanted - share.amount), "measure": measure}


@register.inclusion_tag("buying/divide/skyline.html")
def towers(cells: Iterable[Any], label: str = "") -> dict[str, object]:
    """`{% towers column.cells %}`: a tower a household; give a label where it stands alone."""
    pairs = ((cell.wanted, cell.amount) for cell in cells)
    return {"drawn": skyline(pairs), "label": label}
