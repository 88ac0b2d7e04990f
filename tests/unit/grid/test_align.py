"""Laying rasters and shapes on the grid, against closed forms and against pyproj as an independent way to the same."""

import numpy as np
import pyproj
import pytest
import shapely
from affine import Affine

from hushwalk.errors import InputError
from hushwalk.grid.align import (
    burn,
    burn_codes,
    outline,
    source_cell_m,
    strips,
    way_for,
)
from hushwalk.grid.grid import Grid

GRID = Grid(32615, 600_000.0, 5_200_000.0, 10.0, 60, 80)
LON, LAT = -91.69, 46.94
UTM = "EPSG:32615"


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


def test_a_mask_of_another_shape_is_refused() -> None:
    with pytest.raises(InputError, match="does not fit"):
        outline(np.ones((2, 2), dtype=bool), GRID)
