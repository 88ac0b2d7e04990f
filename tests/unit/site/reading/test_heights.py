"""Lakes and holes in the heights, against closed forms."""

import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.site.reading.heights import suspect_zeros, whole_heights

GRID = Grid(32615, 600_000.0, 5_200_000.0, 10.0, 120, 120)
ROWS, COLS = np.indices(GRID.shape)
PLANE = 400.0 + 0.5 * COLS


def layer(values: np.ndarray) -> Layer:
    return Layer("elevation", "m", GRID, values, ("made",))


def test_whole_ground_is_left_alone() -> None:
    got, said = whole_heights(layer(PLANE), None, "layer 1")
    np.testing.assert_array_equal(got.values, PLANE)
    assert said == ()


def test_a_small_hole_is_closed_from_its_rim() -> None:
    holed = PLANE.copy()
    holed[50:54, 50:54] = np.nan
    got, said = whole_heights(layer(holed), None, "layer elevation")
    assert np.abs(got.values - PLANE).max() < 1.5  # inverse distances level a slope of 0.5 m a cell only a little
    assert said == ("layer elevation: 0.11% of the ground, small holes in the heights, was filled from the rims",)


def test_a_large_hole_and_a_hole_at_the_edge_stay_unknown() -> None:
    holed = PLANE.copy()
    holed[20:70, 20:70] = np.nan  # 0.25 km2
    holed[:, 117:] = np.nan
    got, said = whole_heights(layer(holed), None, "layer 1")
    assert np.array_equal(np.isnan(got.values), np.isnan(holed))
    assert "has no height" in said[0]


def test_a_lake_lies_level_at_the_low_end_of_its_shore_however_large_it_is() -> None:
    holed = PLANE.copy()
    lake = (ROWS - 60) ** 2 + (COLS - 60) ** 2 < 40**2
    holed[lake] = np.nan
    got, said = whole_heights(layer(holed), lake, "layer 1")
    (level,) = np.unique(got.values[lake])
    shore = PLANE[((ROWS - 60) ** 2 + (COLS - 60) ** 2 < 43**2) & ~lake]
    assert shore.min() <= level <= np.percentile(shore, 15)
    assert "laid level" in said[0]


def test_a_known_lake_keeps_its_heights() -> None:
    lake = ROWS < 20
    got, _ = whole_heights(layer(PLANE), lake, "layer 1")
    np.testing.assert_array_equal(got.values, PLANE)


def test_ground_that_is_mostly_unknown_is_refused() -> None:
    holed = np.where(COLS < 50, PLANE, np.nan)
    with pytest.raises(InputError, match=r"58% of the ground has no height"):
        whole_heights(layer(holed), None, "layer 1")


def test_zeros_are_suspected_amid_high_ground_only() -> None:
    assert suspect_zeros(np.array([0.0, 300.0, np.nan])).tolist() == [True, False, False]
    assert not suspect_zeros(np.array([0.0, 3.0, 300.0])).any()
    assert not suspect_zeros(np.zeros(4)).any()
