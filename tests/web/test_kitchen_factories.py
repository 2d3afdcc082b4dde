"""The factories of jars and the kitchen write rows that the database's own rules accept."""

import pytest

from coop.jars.models import JarMove
from coop.kitchen.models import Lot, Way
from tests.web import kitchen_factories as make
from tests.web.buy_factories import make_called_in_buy, the_supply


@pytest.mark.parametrize(
    "made",
    (
        make.make_home, make.make_count, make.make_loan, make.make_kitchen, make.make_plan,
        make.make_use, make.make_outcome, make.make_load, make.make_lot, make.make_fate,
        make.make_taken, make.make_warning,
    ),
)  # fmt: skip
def test_each_is_made_with_nothing_but_defaults(db, made):
    thing = made()
    thing.refresh_from_db()
    assert str(thing)


def test_a_loan_is_handed_over_and_partly_returned(coop, household, other_household):
    loan = make.make_loan(household, other_household, {"pint_wide": 9}, returned=4)
    moves = loan.moves.values_list("kind", "what", "count")
    assert set(moves) == {
        ("pint_wide", JarMove.What.HANDED_OVER, 9),
        ("pint_wide", JarMove.What.RETURNED, 4),
    }
    assert {loan.coop, loan.agreed_by.household} == {coop, household}


@pytest.mark.parametrize("way", Way)
def test_uses_and_lots_are_made_of_each_way(household, way):
    use = make.make_use(make.make_plan(household), way=way)
    lot = make.make_lot(household, way=way, use=use)
    assert (use.way, lot.way, lot.use) == (way, way, use)
    assert (lot.load is None) == (way != Way.CAN)


def test_lots_count_up_within_their_coop(household, other_coop):
    load = make.make_load(household.coop)
    lots = [make.make_lot(household, load=load, sealed=sealed) for sealed in (7, 6)]
    assert [lot.number for lot in lots] == [101, 102]
    assert [lot.seal_check.sealed for lot in Lot.objects.order_by("number")] == [7, 6]
    assert make.make_lot(load=make.make_load(other_coop)).number == 101


def test_a_warning_can_be_about_a_load_or_a_delivery(coop, household):
    load, supply = make.make_load(coop), the_supply(make_called_in_buy(coop))
    for about in ({"load": load}, {"supply": supply}):
        warning = make.make_warning(to=[household], **about)
        assert warning.coop == coop
        assert [told.household for told in warning.told.all()] == [household]
