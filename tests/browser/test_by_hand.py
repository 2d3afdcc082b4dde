"""The sums by hand, held against printed tables, so that the whole buy is judged by sound ones."""

import pytest

from tests.browser import by_hand
from tests.browser.by_hand import Offer, Wish

RULES = {"even", "proportional", "even_loss", "concede", "season"}

# R. J. Aumann and M. Maschler, Journal of Economic Theory 36 (1985) 195-213: claims of 100, 200
# and 300; the rows where every award is whole. CEA, CEL and the proportional rule by W. Thomson,
# "How to Divide When There Isn't Enough" (Cambridge University Press, 2019).
TALMUD = {200: [50, 75, 75], 300: [50, 100, 150], 400: [50, 125, 225]}
THREE = [Wish(100), Wish(200), Wish(300)]


@pytest.mark.parametrize("estate", TALMUD)
def test_halves_first_is_the_rule_of_the_talmud(estate):
    assert by_hand.shares(estate, THREE, "concede") == TALMUD[estate]


@pytest.mark.parametrize(
    ("rule", "awards"),
    [("even", [100, 100, 100]), ("even_loss", [0, 100, 200]), ("proportional", [50, 100, 150])],
)
def test_three_hundred_among_three_by_the_other_rules(rule, awards):
    assert by_hand.shares(300, THREE, rule) == awards


def test_an_even_loss_stops_at_nothing():
    assert by_hand.shares(200, THREE, "even_loss") == [0, 50, 150]


@pytest.mark.parametrize(
    ("seats", "votes", "printed"),
    [
        # "Berechnungsbeispiele", a German public-law study site.
        (10, [6100, 5000, 900], [5, 4, 1]),
        # By definition: last quotients 465.5, 464.6, then 463.0.
        (43, [21878, 9713, 4167, 3252, 1065], [24, 10, 4, 4, 1]),
    ],
)
def test_websters_divisor_is_found(seats, votes, printed):
    assert by_hand.webster(seats, votes) == printed
    wishes = [Wish(vote) for vote in votes]
    assert by_hand._step_by_step(seats, wishes, "proportional", 1) == printed


def test_whoever_is_behind_this_season_is_filled_first():
    behind = [Wish(10, past_asked=10, past_got=0), Wish(10, past_asked=10, past_got=10)]
    assert by_hand.shares(10, behind, "season") == [10, 0]


@pytest.mark.parametrize("rule", sorted(RULES))
def test_minimums_whole_containers_and_all_or_nothing_are_kept(rule):
    wishes = [Wish(70, step=35), Wish(20, at_least=20, or_none=True), Wish(40, at_least=30)]
    found = by_hand.shares(80, wishes, rule)
    assert sum(found) in range(75, 81)
    assert found[0] in {0, 35, 70}
    assert found[1] in {0, 20}
    assert found[2] in range(30, 41)


def test_hamilton_in_1792():
    # 120 seats, census of 1790; "For All Practical Purposes" (10th ed.), chapter 14, example 6.
    states = {
        "Connecticut": (236841, 8), "Delaware": (55540, 2), "Georgia": (70835, 2),
        "Kentucky": (68705, 2), "Maryland": (278514, 9), "Massachusetts": (475327, 16),
        "New Hampshire": (141822, 5), "New Jersey": (179570, 6), "New York": (331589, 11),
        "North Carolina": (353523, 12), "Pennsylvania": (432879, 14), "Rhode Island": (68446, 2),
        "South Carolina": (206236, 7), "Vermont": (85533, 3), "Virginia": (630560, 21),
    }  # fmt: skip
    people = {state: count for state, (count, _) in states.items()}
    assert by_hand.to_the_cent(120, people) == {
        state: seats for state, (_, seats) in states.items()
    }
    assert not by_hand.has_tie(120, people)
    assert by_hand.has_tie(1, {"one": 1, "other": 1})


@pytest.mark.parametrize(
    ("costs", "printed"),
    [
        # Littlechild and Owen (1973), as in the encyclopedia article on the airport problem; and
        # "Airport Problem and the Shapley Solution", Thoughtful Examinations.
        ([8, 11, 13, 18], [2, 3, 4, 9]),
        ([1500, 2200, 3500], [500, 850, 2150]),
    ],
)
def test_the_airport_is_shared_as_printed(costs, printed):
    by_name = {str(place): cost for place, cost in enumerate(costs)}
    assert list(by_hand.airport(by_name).values()) == printed


@pytest.mark.parametrize(
    ("loans", "fewest"),
    [
        # A well-known programming exercise, "Optimal Account Balancing", and its discussion.
        ([(0, 1, 10), (2, 0, 5)], 2),
        ([(0, 1, 10), (1, 0, 1), (1, 2, 5), (2, 0, 5)], 1),
        ([(0, 1, 5), (2, 3, 1), (2, 0, 1), (4, 0, 2)], 4),
    ],
)
def test_the_fewest_payments_are_counted(loans, fewest):
    books = by_hand.Books()
    for giver, taker, cents in loans:
        books.move(str(giver), str(taker), cents)
    assert by_hand.fewest_payments(list(books.balances.values())) == fewest


def test_more_can_cost_less():
    bushels = Offer(350, {1: 2400, 10: 1850})
    found = by_hand.plans([bushels], lowest=3150, highest=3500)
    assert [(plan.counts, plan.cents) for plan in found] == [((9,), 21600), ((10,), 18500)]
    assert by_hand.recommended(found, wanted=3080, bears=3500).counts == (10,)
    assert by_hand.recommended(found, wanted=3080, bears=3200).counts == (9,)
