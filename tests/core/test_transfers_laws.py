"""Laws of squaring up, on balances of every kind."""

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coop.core.transfers import fewest_transfers
from coop.core.transfers.groups import MOST_EXACT
from coop.core.transfers.many import groups_at_most, many_groups
from tests.core.slow_transfers import check_transfers, most_groups_by_trying, slow_fewest


@st.composite
def balances_of(draw: st.DrawFn, most: int, largest: int) -> dict[str, int]:
    cents = draw(st.lists(st.integers(-largest, largest), min_size=1, max_size=most - 1))
    cents = draw(st.permutations([*cents, -sum(cents)]))
    return {f"household {place}": amount for place, amount in enumerate(cents)}


FEW = st.one_of(balances_of(8, 6), balances_of(8, 30), balances_of(8, 10_000))
MANY = st.one_of(balances_of(40, 12), balances_of(40, 10_000))


@given(FEW)
def test_no_fewer_payments_are_found_by_trying_everything(balances: dict[str, int]) -> None:
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    assert (len(found.payments), found.proven_fewest) == (slow_fewest(balances), True)


@settings(max_examples=40)
@given(MANY)
def test_payments_settle_everybody_however_many_there_are(balances: dict[str, int]) -> None:
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    open_balances = sum(cents != 0 for cents in balances.values())
    assert found.proven_fewest or open_balances > MOST_EXACT


@given(FEW)
def test_turning_every_debt_around_needs_as_many_payments(balances: dict[str, int]) -> None:
    turned = {name: -cents for name, cents in balances.items()}
    assert len(fewest_transfers(turned).payments) == len(fewest_transfers(balances).payments)


@given(FEW, st.integers(2, 1000))
def test_counting_in_a_smaller_coin_needs_as_many_payments(
    balances: dict[str, int], times: int
) -> None:
    smaller = {name: cents * times for name, cents in balances.items()}
    assert len(fewest_transfers(smaller).payments) == len(fewest_transfers(balances).payments)


@given(FEW, st.integers(1, 30))
def test_a_debt_between_two_newcomers_adds_just_one_payment(
    balances: dict[str, int], cents: int
) -> None:
    joined = balances | {"newcomer": cents, "other newcomer": -cents}
    assert len(fewest_transfers(joined).payments) == len(fewest_transfers(balances).payments) + 1


@given(FEW)
def test_the_money_moved_is_the_least_that_settles(balances: dict[str, int]) -> None:
    moved = sum(payment.cents for payment in fewest_transfers(balances).payments)
    assert moved == sum(cents for cents in balances.values() if cents > 0)


@given(MANY, st.randoms(use_true_random=False))
def test_the_order_of_the_households_changes_nothing(
    balances: dict[str, int], chance: object
) -> None:
    names = list(balances)
    chance.shuffle(names)  # type: ignore[attr-defined]
    shuffled = {name: balances[name] for name in names}
    assert fewest_transfers(shuffled) == fewest_transfers(balances)


@given(FEW)
def test_the_way_for_many_is_right_for_few_too(balances: dict[str, int]) -> None:
    cents = [each for each in balances.values() if each]
    assume(not any(-each in cents for each in cents))
    groups = many_groups(cents)
    assert sorted(place for group in groups for place in group) == list(range(len(cents)))
    assert not any(sum(cents[place] for place in group) for group in groups)
    assert len(groups) <= most_groups_by_trying(cents) <= groups_at_most(cents)
