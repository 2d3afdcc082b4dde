"""Tests of a dial gauge, against what is published.

USDA15 ("Complete Guide to Home Canning", USDA 2015, guide 1): have dial gauges tested before use
each year, and replace a gauge that is off by more than 2 psi.
"""

from datetime import date

import pytest

from coop.core import gauges
from coop.core.gauges import Verdict, judge
from coop.core.tables import rule_row


@pytest.mark.parametrize(
    ("tested_on", "due_on"),
    [
        (date(2026, 5, 3), date(2027, 5, 3)),  # USDA15: each year
        (date(2024, 2, 29), date(2025, 2, 28)),
        (date(2027, 2, 28), date(2028, 2, 28)),
        (date(2025, 12, 31), date(2026, 12, 31)),
    ],
)
def test_a_test_holds_for_a_year(tested_on, due_on):
    assert gauges.test_due_on(tested_on) == due_on


@pytest.mark.parametrize(
    ("read_tenths", "off_tenths", "verdict"),
    [
        (110, 0, Verdict.FIT),
        (111, 1, Verdict.ADJUST),
        (109, -1, Verdict.ADJUST),
        # USDA15: off by MORE than 2 psi, so at 2.0 psi just not.
        (130, 20, Verdict.ADJUST),
        (131, 21, Verdict.REPLACE),
        (90, -20, Verdict.ADJUST),
        (89, -21, Verdict.REPLACE),
        (0, -110, Verdict.REPLACE),
    ],
)
def test_a_gauge_is_judged_at_11_psi(read_tenths, off_tenths, verdict):
    judged = judge(110, read_tenths)
    assert (judged.off_tenths, judged.verdict) == (off_tenths, verdict)


def test_the_judgement_names_its_source():
    judged = judge(110, 140)
    assert "USDA15" in judged.source
    assert judged.rule == rule_row("pressure", "dial_gauge_replace_error_over")
    assert (judged.rule.value, judged.rule.unit) == (2, "psi")


@pytest.mark.parametrize(("true_tenths", "read_tenths"), [(0, 0), (-10, 5), (110, -1)])
def test_what_is_no_test_is_refused(true_tenths, read_tenths):
    with pytest.raises(ValueError, match="tenths of a psi"):
        judge(true_tenths, read_tenths)


def test_a_rule_that_is_not_published_is_no_rule():
    with pytest.raises(LookupError, match="No rule 'whistle' is published for 'pressure'"):
        rule_row("pressure", "whistle")
