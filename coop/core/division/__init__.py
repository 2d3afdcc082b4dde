"""Dividing what came among those who asked: rules, exact awards, and shares in whole steps."""

from coop.core.division.asks import Ask, CannotCover
from coop.core.division.awards import awards
from coop.core.division.divide import Division, divide
from coop.core.division.rules import Rule

__all__ = ["Ask", "CannotCover", "Division", "Rule", "awards", "divide"]
