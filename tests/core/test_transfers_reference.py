"""The fewest payments against two general solvers: HiGHS through SciPy, and OR-Tools CP-SAT."""

import random

import numpy as np
import pytest
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp

from coop.core.transfers import fewest_transfers


def made_up_balances(seed: int, households: int) -> list[int]:
    chance = random.Random(seed)
    cents = [chance.choice([1, -1]) * chance.randint(1, 12) for _ in range(households - 1)]
    return [*cents, -sum(cents)]


def fewest_by_highs(cents: list[int]) -> int:
    """Choose payments from each who owes to each who is owed; as few as possible above zero."""
    debts = [-each for each in cents if each < 0]
    claims = [each for each in cents if each > 0]
    cells = np.eye(len(debts) * len(claims)).reshape(len(debts), len(claims), -1)
    none = np.zeros_like(cells)
    amount, made = np.concatenate([cells, none], axis=2), np.concatenate([none, cells], axis=2)
    limit = np.minimum.outer(debts, claims)[:, :, np.newaxis]
    rows = [
        LinearConstraint(amount.sum(axis=1), debts, debts),
        LinearConstraint(amount.sum(axis=0), claims, claims),
        LinearConstraint((amount - limit * made).reshape(-1, 2 * limit.size), -np.inf, 0),
    ]
    found = milp(
        np.repeat([0, 1], limit.size),
        constraints=rows,
        integrality=np.repeat([0, 1], limit.size),
        bounds=Bounds(0, np.concatenate([limit.ravel(), np.ones(limit.size)])),
    )
    assert found.status == 0, found.message
    return round(found.fun)


def fewest_by_cp_sat(cents: list[int]) -> int:
    """Put every balance into a group that adds up to zero; use as many groups as possible."""
    model = cp_model.CpModel()
    groups = range(len(cents) // 2)
    inside = {(n, g): model.new_bool_var("") for n in range(len(cents)) for g in groups}
    used = [model.new_bool_var("") for _ in groups]
    for place in range(len(cents)):
        model.add_exactly_one(inside[place, group] for group in groups)
    for group in groups:
        model.add(sum(each * inside[n, group] for n, each in enumerate(cents)) == 0)
        model.add_bool_or([inside[n, group] for n in range(len(cents))]).only_enforce_if(
            used[group]
        )
    model.maximize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return len(cents) - round(solver.objective_value)


@pytest.mark.parametrize("seed", range(12))
def test_as_few_payments_as_two_general_solvers_find(seed: int) -> None:
    cents = [each for each in made_up_balances(seed, households=9) if each]
    found = fewest_transfers({str(place): each for place, each in enumerate(cents)})
    assert len(found.payments) == fewest_by_highs(cents) == fewest_by_cp_sat(cents)
