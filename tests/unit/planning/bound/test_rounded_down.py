"""Problems without ticks: no walk is above the bound, tried over every order of every set of posts."""

from itertools import permutations

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.bound.loose_bound import loose_bound
from hushwalk.planning.bound.rounded_down import rounded_down
from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.model.worth import evaluate_route
from hushwalk.planning.solve import SolveParams, solve

RUN = SolveParams(search_s=None, iterations=600, starts=4, proof_s=None, proof_nodes=60, threads=1)


def without_ticks(seed: int, **changes: object) -> Problem:
    """Six posts that hear ten targets, some of them twice; half the pace in the dark of the first 20 minutes."""
    rng = np.random.default_rng(seed)
    xy = rng.uniform(0, 900, (7, 2))
    day = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    chance = np.where(rng.random((7, 10)) < 0.4, rng.uniform(0.2, 0.9, (7, 10)), 0.0)
    chance[0] = 0.0
    fields: dict[str, object] = {
        "travel_s": np.stack([2 * day, day]),
        "period_starts_s": (1200.0,),
        "chance": csr_array(chance),
        "weights": rng.uniform(0.5, 1.5, 10),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 4100.0,
        "budget_s": 4100.0,
        "dwell_s": (317.0,),
        "step_s": 0.0,
    }
    return Problem(**(fields | changes))  # type: ignore[arg-type]


def best_of_all(problem: Problem) -> float:
    """Every order of every set of posts, left for at seven moments of the dark."""
    tables, found = tables_of(problem), 0.0
    for size in range(problem.posts):
        for order in permutations(range(1, problem.posts), size):
            stops = np.array([order, (0,) * size], np.int64).reshape(2, size)
            for leave in range(0, 1400, 200):
                waits, begin = np.array([leave, *[0] * size], float), np.zeros(size + 1)
                found = max(found, evaluate_route(tables, stops, waits, size, begin, np.ones(problem.targets))[0])
    return found


@pytest.mark.parametrize("changes", [{}, {"max_stops": 3}, {"max_walk_s": 1500.0}, {"budget_s": 3000.0}], ids=str)
@pytest.mark.parametrize("seed", range(3))
def test_no_walk_is_above_the_bound_and_the_bound_is_near(seed: int, changes: dict[str, object]) -> None:
    problem = without_ticks(seed, **changes)
    result = solve(problem, RUN, np.random.default_rng(1))
    assert result.certificate is not None
    best = best_of_all(problem)
    assert result.plan.worth <= result.certificate.bound
    assert best <= result.certificate.bound * (1 + 1e-9)
    assert result.certificate.bound <= loose_bound(tables_of(problem)) * (1 + 1e-9)
    if "max_walk_s" not in changes:  # left out of the bound
        assert result.certificate.bound <= 1.1 * best
        assert result.certificate.bound <= 0.8 * loose_bound(tables_of(problem))


def test_where_stops_take_no_time_and_posts_touch_there_are_no_ticks() -> None:
    touching = orienteering_problem([[0, 2, 2], [2, 0, 0], [2, 0, 0]], [0, 6, 4], 5.0)
    assert rounded_down(touching, tables_of(touching)) is None
