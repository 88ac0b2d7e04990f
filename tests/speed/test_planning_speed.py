import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.planning.solve import SolveParams, solve


def scattered(seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform(0, 4000, (100, 2))


def apart(xy: np.ndarray) -> np.ndarray:
    return np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))


@pytest.mark.benchmark(group="planning")
def test_plain_orienteering_steps(benchmark: object) -> None:
    xy = scattered(1)
    problem = orienteering_problem(apart(xy), np.ones(100), 15000.0)
    plan = benchmark(solve, problem, SolveParams(search_s=None, iterations=500), np.random.default_rng(1)).plan
    assert plan.worth > 20


@pytest.mark.benchmark(group="planning")
def test_listening_walk_steps(benchmark: object) -> None:
    xy = scattered(2)
    spots = np.random.default_rng(3).uniform(0, 4000, (400, 2))
    far = np.hypot(*(xy[:, None] - spots[None]).transpose(2, 0, 1))
    chance = np.where(far < 450, 0.8 * np.exp(-(far**2) / (2 * 150.0**2)), 0.0)
    problem = Problem(
        travel_s=apart(xy) / 0.8,
        chance=csr_array(chance),
        weights=np.ones(400),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=9000.0,
        budget_s=9000.0,
        dwell_s=(180.0, 300.0, 600.0),
        clock_s=np.array([0.0, 4500.0, 9000.0]),
        availability=np.array([[0.2, 0.5, 0.2], [0.25, 0.6, 0.25], [0.3, 0.8, 0.3]]),
    )
    plan = benchmark(solve, problem, SolveParams(search_s=None, iterations=100), np.random.default_rng(1)).plan
    assert plan.visits
