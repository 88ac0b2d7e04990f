"""The best times of a given order of posts are those that trying every time gives."""

import numpy as np
import pytest

from hushwalk.planning.bound.domain import full_domain
from hushwalk.planning.bound.node import bound_node, no_tangent
from hushwalk.planning.bound.timing import time_best
from hushwalk.planning.model.worth import plan_of

from .conftest import FREE, Small

NONE = np.zeros(0, np.int64)


@pytest.mark.parametrize("order", [(1,), (3, 2), (4, 1, 2)], ids=len)
def test_an_order_is_timed_as_well_as_possible(small: Small, order: tuple[int, ...]) -> None:
    best = max(
        (small.exact(stops) for stops in small.walks(list(order)) if len(stops) == len(order)), default=-1.0
    )  # fmt: skip
    whole, posts = full_domain(small.tables, small.relaxation), np.array(order)
    node = bound_node(small.tables, small.relaxation, posts, no_tangent(small.tables), FREE, 4, 0.0, whole, NONE, 0)
    stops, waits, worth, rest = time_best(small.tables, small.relaxation, order, node, FREE, 0.0)
    assert worth == pytest.approx(best, abs=1e-9)
    assert rest == -np.inf
    if worth >= 0:
        assert stops[0].tolist() == list(order)
        plan = plan_of(small.problem, stops, waits)
        assert plan.worth == pytest.approx(worth)
        assert plan.back_s <= small.problem.latest_s


def test_times_below_the_cutoff_are_not_looked_for(small: Small) -> None:
    whole, posts = full_domain(small.tables, small.relaxation), np.array([2])
    node = bound_node(small.tables, small.relaxation, posts, no_tangent(small.tables), FREE, 4, 0.0, whole, NONE, 0)
    _, _, worth, rest = time_best(small.tables, small.relaxation, (2,), node, FREE, 100.0)
    assert worth == -1.0
    assert rest == -np.inf
