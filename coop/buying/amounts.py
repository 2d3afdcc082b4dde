"""Amounts in words, for the sentences of acts and errors. Pages have coop.web.figures."""

from __future__ import annotations

from decimal import Decimal

from coop.buying.models import Measure


def said(amount: int, measure: str) -> str:
    """An amount in base steps as a sentence says it.

    >>> said(577, "weight"), said(350, "weight"), said(1, "count")
    ('57.7 lb', '35 lb', '1 piece')
    """
    if measure == Measure.WEIGHT:
        return f"{Decimal(amount).scaleb(-1):f}".removesuffix(".0") + " lb"
    return f"{amount} piece" if amount == 1 else f"{amount} pieces"
