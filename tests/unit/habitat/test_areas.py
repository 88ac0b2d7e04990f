"""Walks one can add up by hand, and ranks by hand and by brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import sparse

from hushwalk.errors import SettingsError
from hushwalk.habitat.areas import WalkParams, best_walk, half_normal_sd, rank_distinct

CAR = np.array([0.0, 0.0])
PARAMS = WalkParams(budget_s=3600, dwell_s=300, earshot_sd_m=100, stop_chance=0.8, participation=0.5)


def test_half_normal_falls_to_a_half_there() -> None:
    assert np.exp(-(200.0**2) / (2 * half_normal_sd(200.0) ** 2)) == pytest.approx(0.5)


def test_one_post_over_one_male() -> None:
    walk = best_walk(CAR, np.array([[500.0, 0]]), np.array([600.0]), np.array([[500.0, 0]]), np.array([2.0]), PARAMS)
    assert walk.males == pytest.approx(2 * 0.5 * 0.8)  # by hand: males x participation x chance at no distance
    assert walk.used_s == pytest.approx(600 + 300 + 600)


def test_two_posts_hear_one_male_twice() -> None:
    posts = np.array([[500.0, 0], [700.0, 0]])
    walk = best_walk(CAR, posts, np.array([600.0, 840.0]), np.array([[600.0, 0]]), np.array([1.0]), PARAMS)
    one = 0.8 * np.exp(-0.5)  # by hand: both stand one scale away
    assert walk.males == pytest.approx(0.5 * (1 - (1 - one) ** 2))
    assert walk.used_s == pytest.approx(840 * 2 + 600)  # the nearer post lies on the way


def test_what_does_not_fit_into_the_morning_is_left_out() -> None:
    posts = np.array([[500.0, 0], [3000.0, 0]])
    walk = best_walk(CAR, posts, np.array([600.0, 3600.0]), posts, np.array([1.0, 50.0]), PARAMS)
    assert walk.stops.tolist() == [0]
    assert best_walk(CAR, posts, np.array([9e3, 9e3]), posts, np.ones(2), PARAMS).males == 0


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_walk_keeps_its_budget_and_more_time_hears_no_less(seed: int) -> None:
    rng = np.random.default_rng(seed)
    posts, targets = rng.uniform(-1500, 1500, (20, 2)), rng.uniform(-1700, 1700, (60, 2))
    out_s = np.hypot(*posts.T) * rng.uniform(1.0, 2.0)
    males = rng.random(60)
    heard = []
    for budget_s in (1200, 3600, 50_000):
        params = WalkParams(budget_s, 240, 150, 0.6, 0.5)
        walk = best_walk(CAR, posts, out_s, targets, males, params)
        assert walk.used_s <= budget_s
        assert walk.males == pytest.approx(walk.heard.sum())
        assert (walk.heard <= 0.5 * males + 1e-12).all()
        assert len(set(walk.stops.tolist())) == len(walk.stops)
        heard.append(walk.males)
    assert heard[0] <= heard[-1] + 1e-9


def test_a_place_that_hears_the_same_birds_comes_after_a_poorer_one_that_hears_others() -> None:
    heard = sparse.csr_array(np.array([[3.0, 2.0, 0.0], [3.0, 1.9, 0.0], [0.0, 0.0, 1.0]]))
    ranking = rank_distinct(heard, np.array([3.0, 2.0, 1.0]), np.zeros(3))
    assert ranking.order.tolist() == [0, 2, 1]
    np.testing.assert_allclose(ranking.new_males, [5.0, 0.0, 1.0])
    known = rank_distinct(heard, np.array([3.0, 2.0, 1.0]), np.array([1.0, 1.0, 0.0]))
    assert known.order[0] == 2


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_ranks_are_those_of_looking_at_every_place_each_time(seed: int) -> None:
    rng = np.random.default_rng(seed)
    males = rng.random(12) + 0.1
    share = rng.random((9, 12)) * (rng.random((9, 12)) < 0.4)
    known = rng.random(12) * (rng.random(12) < 0.3)
    ranking = rank_distinct(sparse.csr_array(share * males), males, known)
    taken, left = known.copy(), set(range(9))
    for k in ranking.order.tolist():
        adds = {j: float((share[j] * males) @ (1 - taken)) for j in left}
        assert adds[k] == pytest.approx(max(adds.values()))
        assert ranking.new_males[k] == pytest.approx(adds[k])
        taken = np.maximum(taken, share[k])
        left.remove(k)


def test_a_walk_without_time_is_refused() -> None:
    with pytest.raises(SettingsError, match="budget"):
        WalkParams(0, 300, 100, 0.5, 0.5)
    with pytest.raises(SettingsError, match="between 0 and 1"):
        WalkParams(10, 300, 100, 1.5, 0.5)
