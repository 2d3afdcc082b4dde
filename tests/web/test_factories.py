"""The factories write rows that the database's own rules accept, with nothing but defaults."""

import pytest

from coop.buying.models import Buy, Share, Spare
from tests.web import buy_factories, factories


@pytest.mark.parametrize(
    ("make", "stage"),
    (
        (buy_factories.make_buy, Buy.Stage.ASKING),
        (buy_factories.make_called_in_buy, Buy.Stage.CALLED_IN),
        (buy_factories.make_collected_buy, Buy.Stage.COLLECTED),
        (buy_factories.make_divided_buy, Buy.Stage.DIVIDED),
    ),
)
def test_a_buy_can_be_made_at_each_stage(db, make, stage):
    buy = make()
    buy.refresh_from_db()
    assert buy.stage == stage
    assert buy_factories.the_supply(buy).farm.coop == buy.coop


def test_two_offers_of_one_produce_supply_one_line(coop):
    offers = [factories.make_offer(factories.make_farm(coop)) for _ in range(2)]
    buy = buy_factories.make_buy(coop, offers=offers)
    assert buy.lines.get().supplies.count() == 2


def test_what_a_division_leaves_over_is_on_the_spare_table(coop, household):
    buy = buy_factories.make_divided_buy(coop, shares={household: 340}, left_over=10)
    assert Share.objects.get(division__line__buy=buy).amount == 340
    assert Spare.objects.get().amount == 10


def test_everybody_in_the_cast_is_where_they_belong(
    coordinator, treasurer, member, other_household_member, outsider, stranger
):
    ours = (coordinator, treasurer, member, other_household_member)
    assert len({person.coop for person in ours}) == 1
    assert len({person.household for person in ours}) == len(ours)
    assert outsider.coop != member.coop
    assert not stranger.memberships.exists()
