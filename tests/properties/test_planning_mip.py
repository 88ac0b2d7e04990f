"""Thirty posts with overlap, against the exact answer of a mixed-integer programme by HiGHS, a general solver.

Chances are 0 or 1 here, for then worth is linear in which targets are covered.
"""

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, lil_array

from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve

POSTS, TARGETS, DWELL_S = 30, 30, 300.0


def covering(seed: int) -> Problem:
    rng = np.random.default_rng(seed)
    xy, spots = rng.uniform(0, 2000, (POSTS, 2)), rng.uniform(0, 2000, (TARGETS, 2))
    away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    near = np.hypot(*(xy[:, None] - spots[None]).transpose(2, 0, 1)) < 450
    near[0] = False
    return Problem(
        travel_s=away * rng.uniform(1.1, 1.5, away.shape),
        chance=csr_array(near.astype(float)),
        weights=rng.integers(1, 10, TARGETS).astype(float),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=3000.0,
        budget_s=3000.0,
        dwell_s=(DWELL_S,),
        step_s=60.0,
    )


def exact(problem: Problem) -> float | None:
    """Arcs x, visits y, covered z, and the clock carried along the arcs (a single-commodity flow of time)."""
    n, m = POSTS, TARGETS
    arcs = [(i, j) for i in range(n) for j in range(n) if i != j]
    count, t, budget = len(arcs), problem.travel_s[0], problem.budget_s
    size = 2 * count + n + m
    rows, low, high = lil_array((3 * n + m + 2 * count, size)), [], []

    def add(terms: dict[int, float], least: float, most: float) -> None:
        for column, value in terms.items():
            rows[len(low), column] = value
        low.append(least)
        high.append(most)

    cost = {a: t[i, j] + (DWELL_S if j else 0.0) for a, (i, j) in enumerate(arcs)}
    for i in range(n):
        into = [a for a, (_, j) in enumerate(arcs) if j == i]
        out = [a for a, (k, _) in enumerate(arcs) if k == i]
        add({**dict.fromkeys(into, 1.0), 2 * count + i: -1.0}, 0, 0)
        add({**dict.fromkeys(out, 1.0), 2 * count + i: -1.0}, 0, 0)
        if i:  # the clock on the way out is the clock on the way in plus the arc out
            terms = {count + a: 1.0 for a in out} | {a: -cost[a] for a in out}
            add(terms | {count + a: -1.0 for a in into}, 0, 0)
    for a, (i, _) in enumerate(arcs):
        add({count + a: 1.0, a: -budget}, -np.inf, 0)
        if i == 0:
            add({count + a: 1.0, a: -cost[a]}, 0, 0)
    covers = problem.chance.toarray() > 0
    for c in range(m):
        add({2 * count + n + c: 1.0} | {2 * count + int(i): -1.0 for i in np.flatnonzero(covers[:, c])}, -np.inf, 0)
    worth = np.concatenate([np.zeros(2 * count + n), -problem.weights])
    top = np.concatenate([np.ones(count), np.full(count, budget), np.ones(n + m)])
    whole = np.concatenate([np.ones(count), np.zeros(count), np.ones(n), np.zeros(m)])
    limits = LinearConstraint(rows[: len(low)].tocsr(), low, high)
    found = milp(worth, constraints=limits, bounds=Bounds(0, top), integrality=whole, options={"time_limit": 20})
    return float(-found.fun) if found.status == 0 else None


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_thirty_posts_equal_the_exact_answer(seed: int) -> None:
    problem = covering(seed)
    best = exact(problem)
    if best is None:
        pytest.skip("the general solver did not finish")
    run = SolveParams(search_s=None, iterations=300, proof_s=10.0, threads=1)
    result = solve(problem, run, np.random.default_rng(seed))
    assert 0.99 * best <= result.plan.worth <= best * (1 + 1e-6)
    assert result.certificate is not None
    assert result.certificate.bound >= best * (1 - 1e-6)
