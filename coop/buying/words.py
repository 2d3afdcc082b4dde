"""Amounts and rules in words, for the sentences of acts and errors. Pages have coop.web.figures."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from coop.buying.models import Measure
from coop.core.division import Rule


def said(amount: int, measure: str) -> str:
    """An amount in base steps as a sentence says it.

    >>> said(577, "weight"), said(350, "weight"), said(1, "count")
    ('57.7 lb', '35 lb', '1 piece')
    """
    if measure == Measure.WEIGHT:
        return f"{Decimal(amount).scaleb(-1):f}".removesuffix(".0") + " lb"
    return f"{amount} piece" if amount == 1 else f"{amount} pieces"


@dataclass(frozen=True)
class SharingRule:
    """One way to share a shortage: its rule of the core, its name, and what it means."""

    rule: Rule
    name: str
    meaning: str


SHARING_RULES = (
    SharingRule(
        Rule.SEASON,
        "Even over the season",
        "Whoever is furthest behind its asks this season is filled first.",
    ),
    SharingRule(
        Rule.EVEN,
        "Even",
        "Everybody gets the same, up to what they asked: small asks are filled, large ones bear "
        "the shortage.",
    ),
    SharingRule(
        Rule.PROPORTIONAL,
        "By size of ask",
        "Everybody gets the same part of what they asked.",
    ),
    SharingRule(
        Rule.EVEN_LOSS,
        "Even shortfall",
        "Everybody goes short by the same amount: large asks are nearly filled, small ones may get "
        "nothing.",
    ),
    SharingRule(
        Rule.CONCEDE,
        "Even to the half",
        "Everybody is filled evenly up to half of their ask; past that, everybody goes short by "
        "the same amount.",
    ),
)


def rule_said(rule: str) -> SharingRule:
    """The rule by its stored name. Raises StopIteration for one that is none of ours."""
    return next(each for each in SHARING_RULES if each.rule == rule)
