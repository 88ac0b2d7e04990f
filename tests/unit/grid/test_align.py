"""Laying rasters and shapes on the grid, against closed forms and against pyproj as an independent way to the same."""

import numpy as np
import pyproj
import pytest
import shapely
from affine import Affine

from hushwalk.errors import InputError
from hushwalk.grid.align import (
    NO_CLASS,
    RasterPatch,
    burn,
    burn_codes,
    on_grid,
    outline,
    source_cell_m,
    strips,
    way_for,
)
from hushwalk.grid.grid import Grid

GRID = Grid(32615, 600_000.0, 5_200_000.0, 10.0, 60, 80)
LON, LAT = -91.69, 46.94
UTM = "EPSG:32615"


def lattice(cell_m: float, *, margin: int = 4, south_up: bool = False, turned_deg: float = 0.0) -> tuple[Affine, tuple]:
    """A lattice of cells of another size that covers the grid."""
    n_cols = int(800 / cell_m) + 2 * margin
    n_rows = int(600 / cell_m) + 2 * margin
    transform = Affine(cell_m, 0, 600_000 - margin * cell_m, 0, -cell_m, 5_200_000 + margin * cell_m)
    if turned_deg:
        transform = transform @ Affine.rotation(turned_deg, (n_cols / 2, n_rows / 2))
    if south_up:
        transform = transform @ Affine.translation(0, n_rows) @ Affine.scale(1, -1)
    return transform, (n_rows, n_cols)


def centres(transform: Affine, shape: tuple) -> tuple[np.ndarray, np.ndarray]:
    cols, rows = np.meshgrid(np.arange(shape[1]) + 0.5, np.arange(shape[0]) + 0.5)
    return transform @ (cols, rows)


def plane(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 400.0 + 0.05 * (x - 600_000) - 0.11 * (y - 5_200_000)


@pytest.mark.parametrize("lay", [{}, {"south_up": True}, {"turned_deg": 30.0, "margin": 12}])
def test_a_sloping_plane_stays_that_plane_whichever_way_its_cells_lie(lay: dict) -> None:
    transform, shape = lattice(30.0, **lay)
    patch = RasterPatch(plane(*centres(transform, shape)), transform, UTM)
    found = on_grid(patch, GRID, "bilinear")
    np.testing.assert_allclose(found, plane(*centres(GRID.transform, GRID.shape)), atol=0.02)


def test_a_raster_in_degrees_lands_where_pyproj_says() -> None:
    step = 0.0003
    transform = Affine(step, 0, LON - 0.02, 0, -step, LAT + 0.02)
    lon, lat = centres(transform, (134, 134))
    patch = RasterPatch(1000 * (lon - LON) + 3000 * (lat - LAT), transform, "EPSG:4326")
    rows, cols = np.indices(GRID.shape)
    xy = GRID.xy(rows.ravel(), cols.ravel())
    there = pyproj.Transformer.from_crs(UTM, "EPSG:4326", always_xy=True).transform(xy[:, 0], xy[:, 1])
    expected = 1000 * (there[0] - LON) + 3000 * (there[1] - LAT)
    np.testing.assert_allclose(
        on_grid(patch, GRID, "bilinear").ravel(), expected, atol=0.03
    )  # 0.03 is 1 m on the ground


def test_finer_cells_are_averaged() -> None:
    values = np.random.default_rng(1).normal(300, 20, (300, 400))
    patch = RasterPatch(values, Affine(2, 0, 600_000, 0, -2, 5_200_000), UTM)
    expected = values.reshape(60, 5, 80, 5).mean(axis=(1, 3))
    np.testing.assert_allclose(on_grid(patch, GRID, "average"), expected, rtol=1e-6)


def test_unknown_cells_neither_bleed_nor_spread() -> None:
    values = np.full((20, 27), 500.0)
    values[8:12, 8:12] = np.nan
    found = on_grid(RasterPatch(values, Affine(30, 0, 600_000, 0, -30, 5_200_000), UTM), GRID, "bilinear")
    np.testing.assert_allclose(found[np.isfinite(found)], 500.0, rtol=1e-12)
    assert np.isnan(found[26:34, 26:34]).all()


def test_finer_classes_give_the_commonest_and_coarser_ones_the_nearest() -> None:
    rng = np.random.default_rng(3)
    fine = rng.choice([11, 41, 42, 90], size=(300, 400)).astype(np.int32)
    transform = Affine(2, 0, 600_000, 0, -2, 5_200_000)
    found = on_grid(RasterPatch(fine, transform, UTM), GRID, "mode")
    blocks = fine.reshape(60, 5, 80, 5).transpose(0, 2, 1, 3).reshape(60, 80, 25)
    counts = np.stack([(blocks == code).sum(axis=2) for code in (11, 41, 42, 90)], axis=2)
    clear = np.sort(counts, axis=2)[..., -1] > np.sort(counts, axis=2)[..., -2]
    expected = np.array([11, 41, 42, 90])[counts.argmax(axis=2)]
    assert clear.mean() > 0.5
    assert (found[clear] == expected[clear]).all()
    coarse = np.array([[11, 41], [NO_CLASS, 90]], dtype=np.int32)
    near = on_grid(RasterPatch(coarse, Affine(400, 0, 600_000, 0, -300, 5_200_000), UTM), GRID, "nearest")
    assert set(np.unique(near[~np.isnan(near)])) == {11, 41, 90}
    assert np.isnan(near[30:, :40]).all()


def test_classes_are_never_blended() -> None:
    assert {way_for("class", size, GRID) for size in (0.5, 5.0, 10.0, 30.0, 90.0)} == {"mode", "nearest"}
    assert way_for("measure", 1.0, GRID) == "average"
    assert way_for("measure", 30.0, GRID) == "bilinear"


def test_the_size_of_a_cell_in_degrees_is_that_of_the_ellipsoid() -> None:
    step = 1 / 10800  # a third of an arc second
    geod = pyproj.Geod(ellps="GRS80")
    area = abs(geod.polygon_area_perimeter([LON, LON + step, LON + step, LON], [LAT, LAT, LAT + step, LAT + step])[0])
    found = source_cell_m(Affine(step, 0, LON, 0, -step, LAT), "EPSG:4269", GRID, LON, LAT)
    assert found == pytest.approx(np.sqrt(area), rel=1e-3)  # UTM scale differs by 0.04 % here


def test_strips_are_the_grid() -> None:
    parts = list(strips(GRID, 7))
    assert sum(part.n_rows for _, part in parts) == GRID.n_rows
    for rows, part in parts:
        np.testing.assert_allclose(part.xy([0], [3]), GRID.xy([rows.start], [3]))


def test_shapes_are_burnt_and_drawn_again() -> None:
    shape = shapely.box(600_100, 5_199_700, 600_300, 5_199_900)
    mask = burn([shape], GRID)
    assert mask.sum() == 400
    (drawn,) = outline(mask, GRID)
    assert drawn.equals(shape)
    line = shapely.LineString([(600_005, 5_199_995), (600_205, 5_199_995)])
    assert burn([line], GRID, touched=True).sum() == 21
    codes = burn_codes([(shape, 3.0), (shapely.box(600_200, 5_199_700, 600_300, 5_199_900), 8.0)], GRID)
    assert np.unique(codes[np.isfinite(codes)]).tolist() == [3.0, 8.0]
    assert np.isnan(burn_codes([(None, 1.0), (shapely.Point(), 1.0)], GRID)).all()


def test_a_raster_elsewhere_leaves_everything_unknown() -> None:
    patch = RasterPatch(np.ones((10, 10)), Affine(10, 0, 0, 0, -10, 0), UTM)
    assert np.isnan(on_grid(patch, GRID, "bilinear")).all()
    assert np.isnan(on_grid(RasterPatch(np.ones((0, 5)), Affine.identity(), UTM), GRID, "average")).all()


def test_a_mask_of_another_shape_is_refused() -> None:
    with pytest.raises(InputError, match="does not fit"):
        outline(np.ones((2, 2), dtype=bool), GRID)
