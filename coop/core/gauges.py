"""Tests of a dial gauge: until when one holds, and what is to be done about what it found."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from coop.core.storage import months_after
from coop.core.tables import RuleRow, rule_row

TENTHS = 10


class Verdict(StrEnum):
    """What a test of a dial gauge comes to."""

    FIT = "fit"
    ADJUST = "adjust"
    REPLACE = "replace"


@dataclass(frozen=True)
class Judged:
    """A test of a dial gauge.

    Parameters:
        off_tenths: how far it was off, in tenths of a psi; above 0 where it read high, which is
            the dangerous way: the food gets less than it shows.
        verdict: fit where it was not off at all; replace where it was off by more than the
            published limit; adjust between, for a load is then run by as much more or less on the
            dial (common practice, no source).
        rule: the row of the limit.
    """

    off_tenths: int
    verdict: Verdict
    rule: RuleRow

    @property
    def source(self) -> tuple[str, ...]:
        """Keys of the sources that the limit comes from."""
        return self.rule.source


def test_due_on(tested_on: date) -> date:
    """The day from which a test no longer holds; of a 29 February, the 28th.

    Source: the rule dial_gauge_test_interval of the table canner_rules, with its own.

    >>> test_due_on(date(2026, 5, 3))
    datetime.date(2027, 5, 3)
    """
    return months_after(tested_on, int(rule_row("pressure", "dial_gauge_test_interval").value))


def judge(true_tenths: int, read_tenths: int) -> Judged:
    """What a test comes to, by what the gauge read where the pressure was known.

    Parameters:
        true_tenths: the pressure, in tenths of a psi, above 0.
        read_tenths: what the dial showed, in tenths of a psi, 0 or more.

    Raises: ValueError for a test without pressure, or a reading below zero.

    Source: the rule dial_gauge_replace_error_over of the table canner_rules, with its own.

    >>> judged = judge(110, 125)
    >>> judged.off_tenths, judged.verdict.value, judged.source
    (15, 'adjust', ('USDA15',))
    """
    if true_tenths <= 0:
        raise ValueError(f"A gauge is tested under pressure, not at {true_tenths} tenths of a psi.")
    if read_tenths < 0:
        raise ValueError(f"A dial does not show {read_tenths} tenths of a psi.")
    limit = rule_row("pressure", "dial_gauge_replace_error_over")
    off = read_tenths - true_tenths
    if off == 0:
        return Judged(off, Verdict.FIT, limit)
    over = abs(off) > limit.value * TENTHS
    return Judged(off, Verdict.REPLACE if over else Verdict.ADJUST, limit)
