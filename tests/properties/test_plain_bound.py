"""The bound of plain orienteering, held against every walk of small problems.

The exact best is found here by the recursion of Held and Karp (1962, J SIAM 10:196-210) over sets of posts, written
for the test. Published best scores are tests/published/test_orienteering_classics.py's.
"""

import numpy as np
import pytest

from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.model.problem import orienteering_problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.orienteering.plain_bound import plain_bound

POSTS = 11
SQUARE = 100.0


def exact_best(times: np.ndarray, scores: np.ndarray, budget: float, start: int, end: int) -> float:
    """Best score over every set of posts and every order, by the least time to end a set at a post."""
    others = [p for p in range(len(scores)) if p not in (start, end)]
    least = {(1 << k, k): times[start, p] for k, p in enumerate(others)}
    best = 0.0 if times[start, end] <= budget else -1.0
    for members in range(1, 1 << len(others)):
        for k, place in enumerate(others):
            here = least.get((members, k))
            if here is None or here > budget:
                continue
            if here + times[place, end] <= budget:
                best = max(best, sum(scores[p] for j, p in enumerate(others) if members >> j & 1))
            for j, there in enumerate(others):
                if not members >> j & 1:
                    key = (members | 1 << j, j)
                    least[key] = min(least.get(key, np.inf), here + times[place, there])
    return float(best)


def times_of(rng: np.random.Generator, clustered: bool) -> np.ndarray:
    """Distances of random places, in clumps or spread."""
    xy = rng.uniform(0, SQUARE, (POSTS, 2))
    if clustered:
        xy = rng.uniform(0, SQUARE, (3, 2))[rng.integers(0, 3, POSTS)] + rng.normal(0, 4, (POSTS, 2))
    return np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))


def proven(times: np.ndarray, scores: np.ndarray, budget: float, end: int, worth: float) -> Incumbent:
    """Run the proof to its end with a best walk that is already known to score ``worth``."""
    best = Incumbent(worth=worth)
    plain_bound(tables_of(orienteering_problem(times, scores, budget, 0, end)), best, np.inf)
    return best


@pytest.mark.parametrize("seed", range(24))
def test_the_bound_closes_on_the_exact_best_score(seed: int) -> None:
    rng = np.random.default_rng(seed)
    times = times_of(rng, clustered=seed % 3 == 0)
    end = seed % 2
    scores = rng.integers(1, 20, POSTS).astype(float) if seed % 4 else rng.uniform(1, 20, POSTS)
    scores[[0, end]] = 0.0
    budget = float(rng.uniform(1.1, 3.2) * max(times[0, end], SQUARE / 2))
    exact = exact_best(times, scores, budget, 0, end)
    assert proven(times, scores, budget, end, 0.0).bound == pytest.approx(exact, rel=1e-5)  # finds the walk itself
    assert proven(times, scores, budget, end, exact).bound == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize("seed", range(8))
def test_the_bound_holds_where_times_differ_both_ways(seed: int) -> None:
    rng = np.random.default_rng(seed)
    times = times_of(rng, clustered=False) * rng.uniform(1, 1.4, (POSTS, POSTS))
    scores = rng.integers(1, 20, POSTS).astype(float)
    scores[0] = 0.0
    budget = float(rng.uniform(100, 250))
    exact = exact_best(times, scores, budget, 0, 0)
    best = proven(times, scores, budget, 0, 0.0)
    assert best.worth <= exact + 1e-9 <= best.bound * (1 + 1e-6) + 1e-9
