"""Laws of lot plans, on offers of every kind, against the slow version."""

from hypothesis import given
from hypothesis import strategies as st

from coop.core.lots import LotPlan, Offer, cost_of, lot_plans, next_price_break
from tests.core.slow_lots import check_plans, slow_cost, slow_plans

FARMS = (None, "Hill", "Creek")


@st.composite
def offers_of_any_kind(draw: st.DrawFn, most_size: int = 9) -> Offer:
    starts = draw(st.lists(st.integers(2, 8), unique=True, max_size=2).map(sorted))
    return Offer(
        "box",
        draw(st.integers(1, most_size)),
        [(start, draw(st.integers(0, 9))) for start in [1, *starts]],
        draw(st.none() | st.integers(0, 8)),
        draw(st.integers(0, 4)),
        draw(st.integers(0, 6)),
        draw(st.sampled_from(FARMS)),
    )


BOUNDS = st.tuples(*[st.integers(0, 24)] * 3).map(sorted)
OFFERS = st.lists(offers_of_any_kind(), max_size=3)


@given(BOUNDS, OFFERS)
def test_plans_are_those_of_trying_everything(bounds: list[int], offers: list[Offer]) -> None:
    assert lot_plans(*bounds, offers) == slow_plans(*bounds, offers)


@given(BOUNDS, st.integers(1, 40), OFFERS)
def test_a_finer_base_step_changes_only_the_amounts(
    bounds: list[int], finer: int, offers: list[Offer]
) -> None:
    fine = [
        Offer(each.container, each.size * finer, *list(vars(each).values())[2:]) for each in offers
    ]
    scaled = [
        LotPlan(
            plan.counts, plan.amount * finer, plan.cost_cents, plan.short * finer, plan.over * finer
        )
        for plan in lot_plans(*bounds, offers)
    ]
    assert lot_plans(*(bound * finer for bound in bounds), fine) == scaled


@given(
    st.tuples(*[st.integers(0, 900)] * 3).map(sorted),
    st.lists(offers_of_any_kind(most_size=60), max_size=6),
)
def test_plans_that_are_too_many_to_try_pass_the_checker(
    bounds: list[int], offers: list[Offer]
) -> None:
    check_plans(lot_plans(*bounds, offers), bounds[1], offers)


@given(BOUNDS, OFFERS, st.integers(2**60, 2**70))
def test_prices_past_64_bits_are_still_exact(
    bounds: list[int], offers: list[Offer], price: int
) -> None:
    dear = [
        Offer(
            each.container,
            each.size,
            [(start, cents * price + 1) for start, cents in each.prices],
            each.available,
            each.at_least,
            each.fixed_cents * price,
            each.farm,
        )
        for each in offers
    ]
    assert lot_plans(*bounds, dear) == slow_plans(*bounds, dear)


@given(BOUNDS, OFFERS, offers_of_any_kind())
def test_one_more_offer_never_makes_an_amount_dearer(
    bounds: list[int], offers: list[Offer], one_more: Offer
) -> None:
    before = {plan.amount: plan.cost_cents for plan in lot_plans(*bounds, offers)}
    after = {plan.amount: plan.cost_cents for plan in lot_plans(*bounds, [*offers, one_more])}
    assert all(after[amount] <= cents for amount, cents in before.items())


@given(OFFERS, st.data())
def test_a_cost_is_the_goods_and_one_trip_to_each_farm(
    offers: list[Offer], data: st.DataObject
) -> None:
    counts = [
        data.draw(st.integers(0, 12).filter(lambda count, each=each: each.allows(count)))
        for each in offers
    ]
    assert cost_of(offers, counts) == slow_cost(offers, counts)


@given(offers_of_any_kind(), st.integers(0, 12))
def test_the_next_break_is_the_first_larger_number_that_costs_less_each(
    offer: Offer, count: int
) -> None:
    cheaper = [
        more
        for more in range(1, 30)
        if offer.allows(count + more) and offer.cents_each(count + more) < offer.cents_each(count)
    ]
    found = next_price_break(offer, count)
    assert (found.more if found else None) == (cheaper[0] if cheaper else None)
    assert found is None or found.cost_cents == slow_cost([offer], [count + found.more])
