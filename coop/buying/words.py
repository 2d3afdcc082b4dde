"""The words of buying that several pages share."""

from __future__ import annotations

from dataclasses import dataclass

from coop.buying.models import Buy


@dataclass(frozen=True)
class RuleWords:
    """A way to share what came, named and told in one sentence."""

    label: str
    sentence: str


#: By the value of coop.core.division.Rule, in the order in which pages show them.
RULES = {
    "season": RuleWords(
        "Even over the season",
        "Whoever is furthest behind its asks this season is filled first.",
    ),
    "even": RuleWords("Even", "Everyone gets the same amount, up to what they asked for."),
    "proportional": RuleWords(
        "By size of ask", "Everyone gets the same part of what they asked for."
    ),
    "even_loss": RuleWords(
        "Even shortfall", "Everyone goes short by the same amount, down to nothing at most."
    ),
    "concede": RuleWords(
        "Halves first",
        "Up to half of every ask is filled evenly; past that, what is missing is shared evenly.",
    ),
}

BASES = {
    Buy.Basis.BY_SHARE: "by what each got",
    Buy.Basis.EQUALLY: "equally among those who got something",
    Buy.Basis.BY_TRIP: "by distance: each stretch of road among those who needed it",
}
