"""Lot plans against two general solvers: OR-Tools CP-SAT, and HiGHS through SciPy."""

import random
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp

from coop.core.lots import Offer, lot_plans

Tier = tuple[int, int, int, int]  # place of the offer, first count, last count, cents each


def made_up_offers(seed: int) -> list[Offer]:
    """Five offers of three farms, with breaks, limits, minimums and trips."""
    chance = random.Random(seed)
    return [
        Offer(
            f"container {number}",
            chance.choice([12, 20, 25, 53, 177]),
            [(1, chance.randint(900, 2500)), (6, chance.randint(700, 900)), (15, 650)],
            chance.choice([None, 8, 20]),
            chance.choice([0, 0, 5]),
            chance.choice([0, 700, 1500]),
            chance.choice([None, "Hill", "Creek"]),
        )
        for number in range(5)
    ]


def tiers_of(offers: Sequence[Offer], amount: int) -> list[Tier]:
    tiers = []
    for place, offer in enumerate(offers):
        limit = amount // offer.size if offer.available is None else offer.available
        ends = [start - 1 for start, _ in offer.prices[1:]] + [limit]
        for (start, cents), end in zip(offer.prices, ends, strict=True):
            first, last = max(start, offer.at_least), min(end, limit)
            if first <= last:
                tiers.append((place, first, last, cents))
    return tiers


def farm_name(offers: Sequence[Offer], place: int) -> str:
    return offers[place].farm or f"alone {place}"


def cheapest_by_cp_sat(offers: Sequence[Offer], amount: int) -> int | None:
    model = cp_model.CpModel()
    tiers = tiers_of(offers, amount)
    used = [model.new_bool_var("") for _ in tiers]
    counts = [model.new_int_var(0, last, "") for _, _, last, _ in tiers]
    for (_, first, last, _), use, count in zip(tiers, used, counts, strict=True):
        model.add(count >= first * use)
        model.add(count <= last * use)
    for place in range(len(offers)):
        model.add_at_most_one(u for t, u in zip(tiers, used, strict=True) if t[0] == place)
    trips = {farm_name(offers, t[0]): model.new_int_var(0, 10**6, "") for t in tiers}
    for tier, use in zip(tiers, used, strict=True):
        trip = trips[farm_name(offers, tier[0])]
        model.add(trip >= offers[tier[0]].fixed_cents * use)
    model.add(
        sum(offers[t[0]].size * count for t, count in zip(tiers, counts, strict=True)) == amount
    )
    goods = sum(t[3] * count for t, count in zip(tiers, counts, strict=True))
    model.minimize(goods + sum(trips.values()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status in {cp_model.OPTIMAL, cp_model.INFEASIBLE}
    return round(solver.objective_value) if status == cp_model.OPTIMAL else None


def cheapest_by_highs(offers: Sequence[Offer], amount: int) -> int | None:
    tiers = tiers_of(offers, amount)
    farms = sorted({farm_name(offers, tier[0]) for tier in tiers})
    many = len(tiers)  # columns: count of each tier, use of each tier, trip of each farm
    one = np.eye(2 * many + len(farms))
    count, use, trip = one[:many], one[many : 2 * many], one[2 * many :]
    rows: list[tuple[np.ndarray, float, float]] = []
    for number, (place, first, last, _) in enumerate(tiers):
        rows.append((count[number] - first * use[number], 0, np.inf))
        rows.append((count[number] - last * use[number], -np.inf, 0))
        fare = trip[farms.index(farm_name(offers, place))]
        rows.append((fare - offers[place].fixed_cents * use[number], 0, np.inf))
    places = {tier[0] for tier in tiers}
    rows += [(sum(use[n] for n in range(many) if tiers[n][0] == each), 0, 1) for each in places]
    rows.append((sum(offers[tiers[n][0]].size * count[n] for n in range(many)), amount, amount))
    matrix, low, high = (np.array(column) for column in zip(*rows, strict=True))
    lasts = [tier[2] for tier in tiers]
    found = milp(
        np.array([tier[3] for tier in tiers] + [0] * many + [1] * len(farms)),
        constraints=LinearConstraint(matrix, low, high),
        bounds=Bounds(0, np.array(lasts + [1] * many + [np.inf] * len(farms))),
        integrality=np.array([1] * 2 * many + [0] * len(farms)),
        options={"mip_rel_gap": 0},
    )
    assert found.status in {0, 2}, found.message
    return round(found.fun) if found.status == 0 else None


@pytest.mark.parametrize("solver", [cheapest_by_cp_sat, cheapest_by_highs])
@pytest.mark.parametrize("seed", range(5))
def test_every_plan_costs_what_a_general_solver_finds(
    solver: Callable[[Sequence[Offer], int], int | None], seed: int
) -> None:
    offers = made_up_offers(seed)
    found = {plan.amount: plan.cost_cents for plan in lot_plans(0, 300, 900, offers)}
    amounts = random.Random(seed).sample(range(100, 901), 8)
    assert [found.get(amount) for amount in amounts] == [
        solver(offers, amount) for amount in amounts
    ]
    assert any(amount in found for amount in amounts)
