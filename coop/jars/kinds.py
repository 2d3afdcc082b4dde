"""The kinds of jar: a size and a mouth. Lids and bands fit a mouth, whatever the size."""

from __future__ import annotations

from itertools import product

from django.db import models


class Mouth(models.TextChoices):
    """Lids and bands of one mouth do not fit the other."""

    REGULAR = "regular", "regular mouth"
    WIDE = "wide", "wide mouth"


class Size(models.TextChoices):
    """What a jar holds, smallest first."""

    HALF_PINT = "half_pint", "half-pint"
    TWELVE_OUNCE = "twelve_ounce", "12-ounce"
    PINT = "pint", "pint"
    PINT_AND_HALF = "pint_and_half", "pint-and-a-half"
    QUART = "quart", "quart"
    HALF_GALLON = "half_gallon", "half-gallon"


#: Every kind by its key, as "quart_wide": "quart, wide mouth".
KINDS = {
    f"{size.value}_{mouth.value}": f"{size.label}, {mouth.label}"
    for size, mouth in product(Size, Mouth)
}


def kind_of(size: str, mouth: str) -> str:
    """The key of a size and a mouth.

    >>> kind_of("quart", "wide")
    'quart_wide'
    """
    return f"{Size(size).value}_{Mouth(mouth).value}"


def size_and_mouth(kind: str) -> tuple[Size, Mouth]:
    """What a kind is made of. Raises KeyError for what is no kind.

    >>> size_and_mouth("half_gallon_wide")
    (Size.HALF_GALLON, Mouth.WIDE)
    """
    if kind not in KINDS:
        raise KeyError(kind)
    size, _, mouth = kind.rpartition("_")
    return Size(size), Mouth(mouth)
