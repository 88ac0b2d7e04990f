"""The loose bound where the clock has no ticks: a knapsack with posts taken in parts."""

import numpy as np
import pytest

from hushwalk.planning.bound.loose_bound import can_prove, loose_bound
from hushwalk.planning.model.problem import orienteering_problem
from hushwalk.planning.model.tables import tables_of

from .conftest import Small, make


def test_the_loose_bound_is_a_knapsack() -> None:
    line = orienteering_problem([[0, 2, 4], [2, 0, 2], [4, 2, 0]], [0, 6, 4], 5.0)
    # home takes 2 of 5; legs of 2 each: post 1 whole, half of post 2
    assert loose_bound(tables_of(line)) == pytest.approx(8.0)


def test_walks_on_a_clock_can_be_proven_only_where_a_stop_takes_time(small: Small) -> None:
    assert can_prove(small.tables)
    assert not can_prove(tables_of(orienteering_problem([[0, 2], [2, 0]], [0, 6], 5.0)))


def test_no_walk_is_worth_more_than_the_loose_bound() -> None:
    for seed in range(4):
        small = make(seed)
        best = max(small.exact(stops) for stops in small.walks() if len({s[0] for s in stops}) == len(stops))
        assert loose_bound(small.tables) >= best
    assert np.isfinite(loose_bound(small.tables))
