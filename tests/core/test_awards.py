"""Exact awards, against the tables in print and their definitions."""

from fractions import Fraction

import pytest

from coop.core.division import Rule, awards

CEA, CEL = Rule.EVEN, Rule.EVEN_LOSS
PROPORTIONAL, TALMUD = Rule.PROPORTIONAL, Rule.CONCEDE


def fractions(text: str) -> list[Fraction]:
    return [Fraction(part) for part in text.split()]


def awarded(amount, claims: str, rule: Rule) -> list[Fraction]:
    return awards(Fraction(amount), fractions(claims), rule)


@pytest.mark.parametrize(
    ("amount", "expected"),
    [("100", "100/3 100/3 100/3"), ("200", "50 75 75"), ("300", "50 100 150")],
)
def test_the_table_of_the_mishna_comes_out_as_printed(amount, expected):
    # R. J. Aumann and M. Maschler, Journal of Economic Theory 36 (1985) 195-213: Ketubot 93a
    assert awarded(amount, "100 200 300", TALMUD) == fractions(expected)


def test_the_contested_garment_comes_out_as_printed():
    # Baba Metzia 2a, in Aumann and Maschler (1985)
    assert awarded(1, "1 1/2", TALMUD) == fractions("3/4 1/4")


def test_the_third_row_of_the_mishna_is_the_proportional_one():
    # said so in Aumann and Maschler (1985)
    assert awarded(300, "100 200 300", PROPORTIONAL) == fractions("50 100 150")


@pytest.mark.parametrize(
    ("amount", "expected"), [("100", "100/3 100/3 100/3"), ("200", "50 75 75")]
)
def test_even_shares_of_the_half_claims_are_the_first_rows_of_the_mishna(amount, expected):
    # Talmud(E; c) = CEA(E; c/2) up to half the claims: Aumann and Maschler (1985); CRAN package
    # ClaimsProblems 1.0.0, help page Talmud
    assert awarded(amount, "50 100 150", CEA) == fractions(expected)


# Inputs: the Mishna, and the example of every help page of the CRAN package ClaimsProblems 1.0.0.
# Outputs computed apart from this project, from the definitions in W. Thomson, "How to Divide When
# There Isn't Enough" (Cambridge University Press, 2019).
COMPUTED = [
    ("100", "100 200 300", CEA, "100/3 100/3 100/3"),
    ("100", "100 200 300", CEL, "0 0 100"),
    ("100", "100 200 300", PROPORTIONAL, "50/3 100/3 50"),
    ("200", "100 200 300", CEA, "200/3 200/3 200/3"),
    ("200", "100 200 300", CEL, "0 50 150"),
    ("200", "100 200 300", PROPORTIONAL, "100/3 200/3 100"),
    ("300", "100 200 300", CEA, "100 100 100"),
    ("300", "100 200 300", CEL, "0 100 200"),
    ("400", "100 200 300", CEA, "100 150 150"),
    ("400", "100 200 300", CEL, "100/3 400/3 700/3"),
    ("400", "100 200 300", PROPORTIONAL, "200/3 400/3 200"),
    ("400", "100 200 300", TALMUD, "50 125 225"),
    ("500", "100 200 300", CEA, "100 200 200"),
    ("500", "100 200 300", CEL, "200/3 500/3 800/3"),
    ("500", "100 200 300", PROPORTIONAL, "250/3 500/3 250"),
    ("500", "100 200 300", TALMUD, "200/3 500/3 800/3"),
    ("10", "2 4 7 8", CEA, "2 8/3 8/3 8/3"),
    ("10", "2 4 7 8", CEL, "0 1 4 5"),
    ("10", "2 4 7 8", PROPORTIONAL, "20/21 40/21 10/3 80/21"),
    ("10", "2 4 7 8", TALMUD, "1 2 7/2 7/2"),
]


@pytest.mark.parametrize(("amount", "claims", "rule", "expected"), COMPUTED)
def test_every_rule_follows_its_definition(amount, claims, rule, expected):
    assert awarded(amount, claims, rule) == fractions(expected)


def test_without_a_past_one_fill_for_all_is_the_same_part_for_all():
    for amount, claims, rule, expected in COMPUTED:
        if rule == PROPORTIONAL:
            assert awarded(amount, claims, Rule.SEASON) == fractions(expected)


@pytest.mark.parametrize("rule", list(Rule))
def test_of_too_much_everyone_gets_its_claim_and_no_more(rule):
    assert awarded(99, "2 0 5", rule) == fractions("2 0 5")


@pytest.mark.parametrize("rule", list(Rule))
def test_nobody_and_nothing_are_no_trouble(rule):
    assert awards(Fraction(5), [], rule) == []
    assert awarded(0, "3 4", rule) == [0, 0]
    assert awarded(4, "0 0", rule) == [0, 0]


@pytest.mark.parametrize(
    ("amount", "claims", "sentence"),
    [
        (Fraction(-1, 2), [Fraction(1)], "The amount -1/2 is below zero."),
        (0.1, [Fraction(1)], "The amount 0.1 is not a whole number or a fraction."),
        (Fraction(1), [Fraction(1), Fraction(-3)], "Claim 2: -3 is below zero."),
        (Fraction(1), [0.5], "Claim 1: 0.5 is not a whole number or a fraction."),
    ],
)
def test_what_cannot_be_awarded_is_refused_with_a_sentence(amount, claims, sentence):
    with pytest.raises(ValueError, match="^" + sentence.replace(".", r"\.") + "$"):
        awards(amount, claims, Rule.EVEN)
