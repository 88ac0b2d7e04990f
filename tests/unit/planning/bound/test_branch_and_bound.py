"""Branch and bound ends with the best of all walks, and its bound at any moment lies above it."""

import time

import numpy as np
import pytest

from hushwalk.planning.bound.branch_and_bound import OpenNode, ProofParams, limit_prices, prove
from hushwalk.planning.bound.domain import full_domain
from hushwalk.planning.bound.node import no_tangent
from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.model.worth import plan_of

from .conftest import FREE, Small, make

NONE = np.zeros(0, np.int64)


def proven(small: Small, **limits: object) -> Incumbent:
    best = Incumbent(None, np.inf, np.inf, time.perf_counter)
    prove(small.tables, best, ProofParams(threads=1, **limits), np.random.default_rng(1))
    return best


def best_walk(small: Small) -> float:
    walks = (stops for stops in small.walks() if len({stop[0] for stop in stops}) == len(stops))
    return max(small.exact(stops) for stops in walks)


def test_the_proof_ends_with_the_best_of_all_walks(small: Small) -> None:
    best = proven(small)
    assert best.worth == pytest.approx(best_walk(small), abs=1e-9)
    assert best.bound == pytest.approx(best.worth, rel=1e-6)
    assert plan_of(small.problem, best.stops, best.waits).worth == pytest.approx(best.worth)


@pytest.mark.parametrize("nodes", [0, 1, 4])
def test_a_proof_that_is_cut_short_still_holds(small: Small, nodes: int) -> None:
    assert proven(small, nodes=nodes).bound >= best_walk(small) - 1e-9


def test_the_most_promising_node_is_next(small: Small) -> None:
    domain, tangent = full_domain(small.tables, small.relaxation), no_tangent(small.tables)
    nodes = [OpenNode(-b, k, (), False, domain, tangent, NONE) for k, b in enumerate((2.0, 5.0, 5.0, 1.0))]  # noqa: FBT003
    assert [(node.bound, node.order) for node in sorted(nodes)] == [(5.0, 1), (5.0, 2), (2.0, 0), (1.0, 3)]


def test_limits_that_do_not_bind_cost_nothing_and_binding_ones_do() -> None:
    free = make(0)
    assert limit_prices(free.tables, free.relaxation, crowded=False) == FREE
    short = make(0, max_walk_s=240.0)
    assert limit_prices(short.tables, short.relaxation, crowded=False).walk > 0
