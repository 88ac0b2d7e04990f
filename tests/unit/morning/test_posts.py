"""Posts: what is promised, what is too near a log, and spots that are better than the middle."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.morning.posts import (
    PostParams,
    choose_posts,
    log_chance,
    males_in_earshot,
    males_passed,
    refine_posts,
    standable_ground,
)

GRID = Grid(32615, 500_000, 5_200_000, 20, 100, 100)
PARAMS = PostParams(spacing_m=300, earshot_sd_m=200, stand_off_m=80, posts_max=30)


def even(density: float) -> Layer:
    return Layer("males", "1/km2", GRID, np.full(GRID.shape, density))


def everywhere() -> np.ndarray:
    return np.ones(GRID.shape, dtype=bool)


def test_males_in_earshot_on_even_ground_are_density_times_the_effective_area() -> None:
    # half-normal: effective area = 2 pi s^2 (Buckland et al., distance sampling)
    middle = males_in_earshot(even(3.0), 200.0).values[50, 50]
    assert middle == pytest.approx(3.0 * 2 * np.pi * 0.2**2, rel=0.02)


def test_the_chance_of_a_log_nearby_is_that_of_a_poisson_scatter() -> None:
    assert log_chance(even(5.0), 80.0).values[50, 50] == pytest.approx(1 - np.exp(-5.0 * np.pi * 0.08**2), rel=0.01)


def test_posts_keep_their_spacing_and_their_number() -> None:
    where = standable_ground(even(3.0), everywhere(), ~everywhere(), np.ones(GRID.shape), PARAMS)
    posts = choose_posts(where, PARAMS)
    far = np.hypot(*(posts[:, None] - posts[None]).transpose(2, 0, 1)) + np.eye(len(posts)) * 1e9
    assert far.min() >= 300
    assert 20 <= len(posts) <= 30


def test_no_post_stands_where_a_log_is_likely() -> None:
    values = np.full(GRID.shape, 2.0)
    values[:, :30] = 40.0
    where = standable_ground(
        Layer("males", "1/km2", GRID, values), everywhere(), ~everywhere(), np.ones(GRID.shape), PARAMS
    )
    posts = choose_posts(where, PARAMS)
    assert posts[:, 0].min() > 500_000 + 30 * 20
    assert posts[:, 0].min() < 500_000 + 30 * 20 + 150  # but right beside the good ground


def test_nothing_to_hear_gives_no_posts() -> None:
    where = standable_ground(even(0.0), everywhere(), ~everywhere(), np.ones(GRID.shape), PARAMS)
    assert choose_posts(where, PARAMS).shape == (0, 2)


def test_a_post_settles_on_the_better_spot_and_never_off_the_allowed_ground() -> None:
    allowed = everywhere()
    allowed[:, 50:] = False
    where = standable_ground(even(3.0), allowed, ~everywhere(), np.ones(GRID.shape), PARAMS)
    start = np.array([[500_000 + 49.5 * 20, 5_200_000 - 1000.0]])
    east = refine_posts(start, where, lambda spots: spots[:, 0], 80.0)
    west = refine_posts(start, where, lambda spots: -spots[:, 0], 80.0)
    assert east[0, 0] == start[0, 0]
    assert west[0, 0] == pytest.approx(start[0, 0] - 80)


def test_males_passed_are_those_of_the_strip_along_the_way_each_once() -> None:
    west, north = GRID.west_m + 500.0, GRID.north_m - 1000.0
    line = np.array([[west, north], [west + 800.0, north]])
    strip_km2 = (2 * 50 * 800 + np.pi * 50**2) / 1e6
    once = males_passed(even(5.0), [line])
    assert once == pytest.approx(5.0 * strip_km2, rel=0.25)  # cells of 20 m
    assert males_passed(even(5.0), [line, line[::-1]]) == pytest.approx(once)
    assert males_passed(even(0.0), [line]) == 0
    assert males_passed(even(5.0), []) == 0
