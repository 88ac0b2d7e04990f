"""Wide rasters against rasterio's own warping, and windows against the whole."""

import numpy as np
import pyproj
import pytest
from affine import Affine
from rasterio.warp import Resampling, reproject

from hushwalk.grid.align import NO_CLASS
from hushwalk.grid.grid import Grid
from hushwalk.grid.window_invariant import invariant_classes, invariant_measures, positions, samples_for

GRID = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 120, 150)
ALBERS = "EPSG:5070"
WAY = pyproj.Transformer.from_crs(GRID.crs, ALBERS, always_xy=True)
RNG = np.random.default_rng(4)


def carry(xy: np.ndarray) -> np.ndarray:
    return np.stack(WAY.transform(xy[:, 0], xy[:, 1]), axis=-1)


def source(cell_m: float) -> tuple[Affine, tuple[int, int]]:
    west, south, east, north = WAY.transform_bounds(*GRID.bounds)
    size = int((north - south) / cell_m) + 20, int((east - west) / cell_m) + 20
    return Affine(cell_m, 0, west - 9 * cell_m, 0, -cell_m, north + 9 * cell_m), size


def warped(values: np.ndarray, transform: Affine, how: Resampling, empty: float) -> np.ndarray:
    found = np.full(GRID.shape, empty, dtype=values.dtype)
    reproject(
        values,
        found,
        src_transform=transform,
        src_crs=ALBERS,
        dst_transform=GRID.transform,
        dst_crs=GRID.crs,
        src_nodata=empty,
        dst_nodata=empty,
        resampling=how,
        tolerance=0.0,
    )
    return found


def test_classes_are_those_under_the_middles_as_pyproj_and_rasterio_find_them() -> None:
    transform, shape = source(30.0)
    codes = RNG.integers(1, 9, shape).astype(np.int32)
    at = positions(GRID, (0, 0, *GRID.shape), carry, transform)
    mine = invariant_classes(codes, (0, 0), at, 1)
    cells = np.indices(GRID.shape).reshape(2, -1)
    col, row = np.floor(np.stack(~transform @ carry(GRID.xy(*cells)).T)).astype(int)
    np.testing.assert_array_equal(mine.ravel(), codes[row, col])
    theirs = warped(codes, transform, Resampling.nearest, NO_CLASS)
    assert (mine == theirs).mean() > 0.995  # rasterio goes astray by a thousandth of a cell


def test_heights_are_those_that_rasterio_blends() -> None:
    transform, shape = source(40.0)
    x, y = np.meshgrid(np.arange(shape[1]), np.arange(shape[0]))
    hills = (300 + 80 * np.sin(x / 7) * np.cos(y / 9)).astype(np.float32)
    at = positions(GRID, (0, 0, *GRID.shape), carry, transform)
    mine = invariant_measures(hills, (0, 0), at, 1)
    theirs = warped(hills, transform, Resampling.bilinear, -9999.0)
    np.testing.assert_allclose(mine, theirs, atol=0.02)


def test_finer_cells_give_their_mean_and_their_commonest_class() -> None:
    transform, shape = source(10.0)
    x, _ = np.meshgrid(np.arange(shape[1]), np.arange(shape[0]))
    assert samples_for(30.0, 10.0, finer=True) == 3
    at = positions(GRID, (0, 0, *GRID.shape), carry, transform)
    slope = invariant_measures(x.astype(np.float32), (0, 0), at, 3)
    np.testing.assert_allclose(slope, warped(x.astype(np.float32), transform, Resampling.average, -9999.0), atol=0.6)
    halves = np.where(x % 60 < 40, 1, 2).astype(np.int32)
    mine = invariant_classes(halves, (0, 0), at, 3)
    assert (mine == warped(halves, transform, Resampling.mode, NO_CLASS)).mean() > 0.97


def test_unknown_cells_neither_bleed_nor_spread() -> None:
    transform, shape = source(30.0)
    flat = np.full(shape, 500.0, dtype=np.float32)
    flat[40:60, 40:60] = np.nan
    found = invariant_measures(flat, (0, 0), positions(GRID, (0, 0, *GRID.shape), carry, transform), 1)
    np.testing.assert_allclose(found[np.isfinite(found)], 500.0, rtol=1e-7)
    cells = np.indices(GRID.shape).reshape(2, -1)
    col, row = np.stack(~transform @ carry(GRID.xy(*cells)).T)
    deep = ((np.abs(col - 50) < 9) & (np.abs(row - 50) < 9)).reshape(GRID.shape)
    assert deep.sum() > 100
    assert np.isnan(found[deep]).all()
    assert np.isfinite(found).mean() > 0.9


@pytest.mark.parametrize("samples", [1, 3])
def test_a_window_gets_the_same_as_the_whole(samples: int) -> None:
    transform, shape = source(30.0 / samples)
    hills = RNG.normal(300, 50, shape).astype(np.float32)
    hills[RNG.random(shape) < 0.1] = np.nan
    whole = invariant_measures(hills, (0, 0), positions(GRID, (0, 0, *GRID.shape), carry, transform), samples)
    for row, col, n_rows, n_cols in [(0, 0, 40, 40), (37, 51, 60, 70), (119, 149, 1, 1)]:
        at = positions(GRID, (row, col, n_rows, n_cols), carry, transform)
        needed = at.needed(*shape)
        assert needed is not None
        top, left, height, width = needed
        part = invariant_measures(hills[top : top + height, left : left + width], (top, left), at, samples)
        np.testing.assert_array_equal(part, whole[row : row + n_rows, col : col + n_cols])


def test_ground_that_the_raster_does_not_reach_stays_unknown() -> None:
    transform = Affine(30.0, 0, 0, 0, -30.0, 0)
    assert positions(GRID, (0, 0, 20, 20), carry, transform).needed(10, 10) is None
