"""The relaxed worth never lies below the true one, whatever the point, and is what the two inequalities say."""

import numpy as np
import pytest

from hushwalk.planning.bound.relaxation import gain_at, relax_at

from .conftest import Small, make


def test_no_visits_are_worth_more_than_their_relaxed_worth() -> None:
    rng = np.random.default_rng(7)
    for seed in range(6):
        small = make(seed)
        for _ in range(60):
            seen, summed = rng.uniform(0, 2, 8), rng.uniform(0, 1, 8)
            soft = float(rng.uniform(0.02, 0.5))
            point = relax_at(small.tables, small.relaxation, seen, summed, np.ones(5, bool), soft)
            moved = Small(small.problem, small.tables, small.relaxation, point)
            stops = [(int(rng.integers(1, 5)), int(rng.integers(2)), int(rng.integers(9))) for _ in range(5)]
            assert moved.relaxed(stops) + point.constant >= moved.exact(stops) - 1e-9


def test_a_gain_at_the_origin_is_half_the_chance_and_half_its_log(apart: Small) -> None:
    zero = np.zeros(8)
    point = relax_at(apart.tables, apart.relaxation, zero, zero, np.ones(5, bool), 0.1)
    mass, height = apart.tables.mass, apart.relaxation.height
    for post in range(1, 5):
        x = apart.problem.chance.toarray()[post][:, None] * height[None, :]
        assert point.gain[post] == pytest.approx((mass[:, None] * (0.5 * x - 0.5 * np.log1p(-x))).sum(axis=0))
    assert point.constant == pytest.approx(0.0)


def test_a_gain_between_two_heights_lies_on_the_chord(small: Small) -> None:
    for dwell in range(2):
        for tick in range(9):
            assert gain_at(small.relaxation, small.point, 2, dwell, tick) == pytest.approx(small.gain(2, dwell, tick))


def test_overlap_is_symmetric_and_only_where_targets_are_shared(small: Small, apart: Small) -> None:
    assert np.array_equal(small.point.overlap, small.point.overlap.T)
    assert small.point.overlap.max() > 0
    assert apart.point.overlap.max() == 0


def test_posts_that_are_out_gain_nothing(small: Small) -> None:
    alive = np.array([True, True, False, True, True])
    point = relax_at(small.tables, small.relaxation, np.ones(8), np.ones(8), alive, 0.1)
    assert point.gain[2].max() == 0
    assert point.overlap[2].max() == 0
