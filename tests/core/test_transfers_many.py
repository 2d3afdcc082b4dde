"""Squaring up at and past the size that can be proven, with optima that are known by design."""

import random

import pytest

from coop.core.transfers import fewest_transfers
from coop.core.transfers.groups import MOST_EXACT
from tests.core.slow_transfers import check_transfers


def planted(sizes: list[int], seed: int) -> dict[str, int]:
    """Groups that cancel only as wholes: one against all others of its group, at its own scale.

    The scale of a group is larger than all that the groups before it can add up to, so that no set
    of balances adds up to zero but the groups and what is made of them: the most groups are known.
    """
    chance = random.Random(seed)
    scale, cents = 1, []
    for size in sizes:
        owed = [scale * chance.randint(1, 9) for _ in range(size - 1)]
        sign = chance.choice([1, -1])
        cents += [sign * each for each in owed] + [-sign * sum(owed)]
        scale *= 9 * 2 * max(sizes)
    chance.shuffle(cents)
    return {f"household {place:03}": each for place, each in enumerate(cents)}


@pytest.mark.parametrize("sizes", [[20], [10, 10], [3] * 6 + [2], [4] * 5, [3, 4, 6, 7], [5] * 4])
def test_twenty_balances_are_settled_with_the_fewest_payments(sizes: list[int]) -> None:
    balances = planted(sizes, seed=len(sizes))
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    assert (len(found.payments), found.proven_fewest) == (20 - len(sizes), True)


def test_twenty_balances_with_no_group_at_all_are_proven_too() -> None:
    balances = {f"payer {place}": -(2**place) for place in range(19)} | {"payee": 2**19 - 1}
    found = fewest_transfers(balances)
    assert (len(found.payments), found.proven_fewest) == (19, True)


def test_twenty_balances_with_very_many_groups_are_proven_too() -> None:
    # Any two that are owed 1 go with any one who owes 2: six threes in thousands of ways.
    balances = {f"payee {place}": 1 for place in range(12)}
    balances |= {f"payer {place}": -2 for place in range(6)}
    balances |= {"one": 7, "other": -7}
    found = fewest_transfers(balances)
    assert (len(found.payments), found.proven_fewest) == (12 + 1, True)


@pytest.mark.parametrize("sizes", [[3] * 20, [4] * 10, [5] * 8, [3, 4, 5] * 5, [6] * 6])
def test_planted_groups_past_the_exact_size_are_found(sizes: list[int]) -> None:
    balances = planted(sizes, seed=1)
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    assert len(found.payments) == sum(sizes) - len(sizes)


def test_past_the_exact_size_threes_alone_are_proven_and_fours_are_not() -> None:
    assert fewest_transfers(planted([3] * 10, seed=2)).proven_fewest
    assert not fewest_transfers(planted([4] * 10, seed=2)).proven_fewest


def test_one_payee_is_proven_whatever_the_size() -> None:
    balances = {f"payer {place}": -place for place in range(1, 101)} | {"till": 5050}
    found = fewest_transfers(balances)
    assert (len(found.payments), found.proven_fewest) == (100, True)


def test_pairs_do_not_count_towards_the_exact_size() -> None:
    pairs = {
        f"{side} {place}": sign * 10**9 * place
        for place in range(1, 31)
        for side, sign in (("payer", -1), ("payee", 1))
    }
    found = fewest_transfers(pairs | planted([4] * 5, seed=3))
    assert (len(found.payments), found.proven_fewest) == (30 + 15, True)


def test_the_largest_exact_size_is_proven_and_one_more_is_not() -> None:
    assert MOST_EXACT == sum([4, 5, 6, 7]) >= 20
    found = fewest_transfers(planted([4, 5, 6, 7], seed=4))
    assert (len(found.payments), found.proven_fewest) == (MOST_EXACT - 4, True)
    assert not fewest_transfers(planted([4, 5, 7, 7], seed=4)).proven_fewest
