"""Distances and disc means against brute force over all pairs of cells."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from hushwalk.errors import GridMismatchError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.nearby import disc_mean, distance_to

GRID = Grid(32615, 500_000.0, 5_000_000.0, 10.0, 14, 11)


def all_distances() -> np.ndarray:
    rows, cols = np.indices(GRID.shape).reshape(2, -1)
    xy = GRID.xy(rows, cols)
    return np.hypot(*(xy[:, None] - xy[None, :]).transpose(2, 0, 1))


@pytest.mark.parametrize("seed", range(3))
def test_distance_is_that_to_the_nearest_of_all_marked_cells(seed: int) -> None:
    mask = np.random.default_rng(seed).random(GRID.shape) < 0.05
    mask[3, 3] = True
    expected = all_distances()[:, mask.ravel()].min(axis=1).reshape(GRID.shape)
    np.testing.assert_allclose(distance_to(mask, GRID), expected, atol=1e-9)


def test_distance_to_nothing_is_infinite() -> None:
    assert np.isinf(distance_to(np.zeros(GRID.shape, dtype=bool), GRID)).all()


@pytest.mark.parametrize("radius_m", [0.0, 10.0, 25.0, 30.0, 50.0, 1000.0])
def test_disc_mean_is_the_mean_over_known_cells_within_the_radius(radius_m: float) -> None:
    rng = np.random.default_rng(7)
    values = rng.normal(100.0, 30.0, GRID.shape)
    values[rng.random(GRID.shape) < 0.3] = np.nan
    near = all_distances() <= radius_m + 1e-6
    flat = values.ravel()
    expected = np.array([np.nan if np.isnan(flat[n]).all() else np.nanmean(flat[n]) for n in near])
    np.testing.assert_allclose(disc_mean(values, radius_m, GRID), expected.reshape(GRID.shape), atol=1e-9)


def test_a_disc_in_a_wide_field_has_the_area_of_a_circle() -> None:
    grid = Grid(32615, 500_000.0, 5_000_000.0, 10.0, 401, 401)
    mask = np.zeros(grid.shape, dtype=bool)
    mask[200, 200] = True
    reached = np.count_nonzero(disc_mean(mask.astype(float), 1600.0, grid) > 0)
    assert reached * 100.0 == pytest.approx(np.pi * 1600.0**2, rel=0.002)  # closed form


def test_wrong_shape_or_radius_is_refused() -> None:
    with pytest.raises(GridMismatchError, match="does not fit"):
        distance_to(np.zeros((2, 2), dtype=bool), GRID)
    with pytest.raises(SettingsError, match="radius"):
        disc_mean(np.zeros(GRID.shape), -1.0, GRID)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), rows=st.integers(1, 40), cols=st.integers(1, 40), share=st.floats(0.001, 0.6))
def test_distances_are_those_of_an_independent_library_to_the_last_bit(
    seed: int, rows: int, cols: int, share: float
) -> None:
    mask = np.random.default_rng(seed).random((rows, cols)) < share
    if mask.any():
        grid = Grid(32615, 0.0, 0.0, 17.3, rows, cols)
        np.testing.assert_array_equal(distance_to(mask, grid), ndimage.distance_transform_edt(~mask) * 17.3)


@pytest.mark.parametrize("scale", [1.0, 1e5, -1.0])
def test_a_mean_is_the_same_whether_its_two_sums_fit_one_number_or_not(scale: float) -> None:
    rng = np.random.default_rng(3)
    values = rng.random(GRID.shape)
    values[rng.random(GRID.shape) < 0.3] = np.nan
    plain = disc_mean(values, 40.0, GRID)
    assert disc_mean(values * scale, 40.0, GRID) == pytest.approx(plain * scale, nan_ok=True)
