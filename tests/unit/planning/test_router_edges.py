"""Problems at the edge of what a router meets: no way, a late start, a way round, a wrong bound."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.planning.solve import SolveParams, certificate, solve

STEPS = SolveParams(search_s=None, iterations=1500, starts=4)


def best_score(times: np.ndarray, scores: np.ndarray, budget: float) -> float:
    """Every order of every set of posts from place 0 back to it."""
    posts = range(1, len(scores))
    found = scores[0]
    for size in range(len(scores)):
        for order in permutations(posts, size):
            way = [0, *order, 0]
            if sum(times[a, b] for a, b in pairwise(way)) <= budget:
                found = max(found, scores[list({0, *order})].sum())
    return float(found)


@pytest.mark.parametrize("seed", range(12))
def test_legs_that_do_not_exist_are_never_walked_and_the_best_is_found(seed: int) -> None:
    rng = np.random.default_rng(seed)
    xy = rng.uniform(0, 100, (7, 2))
    times = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    cut = rng.random((7, 7)) < 0.45
    times[cut | cut.T] = np.inf
    np.fill_diagonal(times, 0.0)
    scores = rng.integers(1, 20, 7).astype(float)
    budget = 220.0
    plan = solve(orienteering_problem(times, scores, budget), STEPS, np.random.default_rng(1)).plan
    assert plan.duration_s <= budget * (1 + 1e-6)
    assert plan.worth == pytest.approx(best_score(times, scores, budget))


def foot(**changes: object) -> Problem:
    """Two posts a minute off; nothing calls in the first two hours."""
    fields: dict[str, object] = {
        "travel_s": 60.0 * (1 - np.eye(3)),
        "chance": csr_array(np.array([[0.0, 0.0], [0.8, 0.0], [0.0, 0.8]])),
        "weights": np.ones(2),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 14400.0,
        "budget_s": 14400.0,
        "dwell_s": (300.0,),
        "clock_s": np.array([0.0, 7200.0, 9000.0]),
        "availability": np.array([[0.05, 0.05, 0.9]]),
    }
    return Problem(**(fields | changes))  # type: ignore[arg-type]


def test_a_walk_with_a_limit_on_foot_leaves_late_where_nothing_calls_early() -> None:
    plan = solve(foot(max_walk_s=200.0), STEPS, np.random.default_rng(1)).plan
    assert plan.worth == pytest.approx(2 * 0.8 * 0.9, rel=1e-6)
    assert plan.visits[0].begin_s >= 9000


def test_a_way_round_is_found_where_the_direct_way_home_is_too_long_on_foot() -> None:
    travel = np.array([[0, 100, 900, 900], [100, 0, 100, 900], [900, 100, 0, 100], [900, 900, 100, 0]], float)
    problem = Problem(
        travel_s=travel,
        chance=csr_array(eye_array(4, format="csr")),
        weights=np.ones(4),
        start=0,
        end=3,
        earliest_s=0.0,
        latest_s=3600.0,
        budget_s=3600.0,
        max_walk_s=420.0,
    )
    plan = solve(problem, STEPS, np.random.default_rng(1)).plan
    assert plan.posts == (1, 2)
    assert plan.walk_s <= 420


def test_a_bound_below_the_plan_is_withdrawn_and_said() -> None:
    problem = foot()
    plan = solve(problem, STEPS, np.random.default_rng(1)).plan
    best = Incumbent()
    best.bound = plan.worth / 2
    said = certificate(problem, plan, best)
    assert said.bound == pytest.approx(problem.mass.sum())
    assert "withdrawn" in said.how
    assert not said.proven
    best.bound = plan.worth * (1 - 1e-9)
    assert certificate(problem, plan, best).proven
