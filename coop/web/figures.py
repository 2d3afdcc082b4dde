"""How figures are written, for templates and views. They are in the core: actions say them too."""

from coop.core.figures import (
    MINUS,
    PIECE,
    amount,
    counted,
    join_words,
    minor_digits,
    money,
    percent,
    plural,
    quantity,
    unit_price,
    unit_word,
)

__all__ = [
    "MINUS",
    "PIECE",
    "amount",
    "counted",
    "join_words",
    "minor_digits",
    "money",
    "percent",
    "plural",
    "quantity",
    "unit_price",
    "unit_word",
]
