"""Sixty households and thirty thousand steps: still proven, or it says what it settled for."""

import random

import pytest

from coop.core.division import Ask, Rule, choose, divide
from tests.core.slow_division import broken_laws

BUSHEL = 350  # tenths of a pound of sweet corn in the husk, as extension tables have it
RULES = list(Rule)


def household(chance: random.Random) -> Ask:
    """Whole bushels, all or nothing, enough or nothing, or any tenth of a pound."""
    wanted = chance.randint(300, 1000)
    past = {"past_asked": chance.randint(0, 9000), "past_received": chance.randint(0, 6000)}
    return chance.choice(
        [
            Ask(BUSHEL * chance.randint(1, 4), step=BUSHEL, **past),
            Ask(wanted, at_least=wanted, or_none=True, **past),
            Ask(wanted, at_least=wanted // 2, or_none=True, **past),
            Ask(wanted, at_least=100, at_most=2 * wanted, **past),
        ]
    )


def sixty(number: int) -> list[Ask]:
    chance = random.Random(number)
    return [household(chance) for _ in range(60)]


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("amount", [24_000, 30_000])
def test_sixty_households_of_every_kind_are_divided_with_proof(amount, rule):
    asks = sixty(amount)
    division = divide(amount, asks, rule)
    assert division.exact
    assert division.left_over == 0
    assert list(broken_laws(amount, asks, division.shares, 0)) == []


@pytest.mark.parametrize("rule", RULES)
def test_sixty_who_take_all_or_nothing_are_divided_with_proof(rule):
    chance = random.Random(60)
    wanted = [chance.randint(300, 1000) for _ in range(60)]
    division = divide(24_001, [Ask(want, at_least=want, or_none=True) for want in wanted], rule)
    assert division.exact
    assert division.left_over == 0
    assert all(share in {0, want} for share, want in zip(division.shares, wanted, strict=True))


@pytest.mark.parametrize(("limit", "value"), [("CELLS", 10), ("TABLE", 10), ("WAYS", 10)])
def test_past_its_limits_it_settles_for_a_good_division_and_says_so(limit, value, monkeypatch):
    monkeypatch.setattr(choose, limit, value)
    asks = sixty(1)
    division = divide(24_000, asks, Rule.EVEN)
    assert not division.exact
    assert division.settled_for.startswith("There are too many combinations to try them all.")
    assert list(broken_laws(24_000, asks, division.shares, division.left_over)) == []


def test_a_settled_division_says_if_less_could_be_left_over(monkeypatch):
    monkeypatch.setattr(choose, "TABLE", 1)
    asks = [
        Ask(6, at_least=6, or_none=True),
        Ask(8, at_least=8, or_none=True),
        Ask(9, at_least=9, or_none=True),
    ]
    division = divide(17, asks, Rule.EVEN)
    assert (division.shares, division.left_over) == ([6, 8, 0], 3)
    assert "This one leaves 3 over; some other leaves 0" in division.settled_for
