import numpy as np
import pytest
from scipy.ndimage import map_coordinates

from hushwalk.errors import PlaceError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.profile import bilinear, cell_places, profile

GRID = Grid(32615, 0.0, 400.0, 10.0, 40, 30)
ROUGH = Layer("elevation", "m", GRID, np.random.default_rng(3).normal(size=GRID.shape))


def test_bilinear_agrees_with_scipy() -> None:
    points = np.random.default_rng(4).uniform([0, 0], [300, 400], size=(500, 2))
    rows, cols = cell_places(GRID, points)
    assert bilinear(ROUGH, points) == pytest.approx(
        map_coordinates(ROUGH.values, [rows, cols], order=1, mode="nearest")
    )


def test_cell_centres_give_the_cells() -> None:
    rows, cols = np.array([0, 39, 7]), np.array([0, 29, 12])
    assert bilinear(ROUGH, GRID.xy(rows, cols)) == pytest.approx(ROUGH.values[rows, cols])


def test_off_the_grid_and_beside_unknown_cells_is_unknown() -> None:
    holes = ROUGH.values.copy()
    holes[5, 5] = np.nan
    layer = ROUGH.with_values(holes)
    centre = GRID.xy([5], [5])[0]
    points = np.array([[-1.0, 5.0], *(centre + np.array([[4, 0], [10, 0], [10, 3]]))])
    assert np.isnan(bilinear(layer, points)).tolist() == [True, True, False, False]


def test_a_plane_is_read_exactly_along_a_line() -> None:
    rows, cols = np.indices(GRID.shape)
    plane = ROUGH.with_values(2.0 * rows + 3.0 * cols)
    found = profile(plane, (35.0, 355.0), (165.0, 205.0), smooth=True)
    assert found.distance_m[[0, -1]] == pytest.approx([0, np.hypot(130, 150)])
    assert np.max(np.diff(found.distance_m)) <= 10
    share = found.distance_m / found.distance_m[-1]
    assert found.values == pytest.approx(2 * (4 + 15 * share) + 3 * (3 + 13 * share))


def test_cells_are_read_as_they_are() -> None:
    found = profile(ROUGH, (5.0, 395.0), (295.0, 395.0), smooth=False)
    assert found.values.tolist() == ROUGH.values[0].tolist()


def test_a_line_needs_two_points_on_the_grid() -> None:
    with pytest.raises(PlaceError, match="two different"):
        profile(ROUGH, (5.0, 5.0), (5.0, 5.0), smooth=True)
    with pytest.raises(PlaceError, match="the end of the profile"):
        profile(ROUGH, (5.0, 5.0), (500.0, 5.0), smooth=True)
