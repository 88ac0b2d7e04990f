"""Rows, columns and metres."""

import numpy as np
import pytest

from hushwalk.errors import GridMismatchError, PlaceError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer

GRID = Grid(epsg=32615, west_m=500_000, north_m=5_200_000, cell_m=10, n_rows=4, n_cols=6)


def test_the_corner_cell_lies_half_a_cell_in_from_the_corner() -> None:
    assert GRID.xy([0], [0]).tolist() == [[500_005, 5_199_995]]
    assert GRID.bounds == (500_000, 5_199_960, 500_060, 5_200_000)


def test_centres_and_cells_are_inverse() -> None:
    rows, cols = np.divmod(np.arange(GRID.n_cells), GRID.n_cols)
    back = GRID.rowcol(GRID.xy(rows, cols))
    assert np.array_equal(back, (rows, cols))


def test_the_affine_agrees_with_the_centres() -> None:
    assert GRID.transform @ (2.5, 1.5) == tuple(GRID.xy([1], [2])[0])


def test_a_point_off_the_grid_is_told_by_name() -> None:
    assert GRID.cell_at((500_059.9, 5_199_960.1), "place.car") == (3, 5)
    with pytest.raises(PlaceError, match=r"place\.car at E 400000"):
        GRID.cell_at((400_000, 5_199_960.1), "place.car")


def test_a_coarser_grid_covers_the_whole() -> None:
    coarse = GRID.coarsened(4)
    assert coarse.shape == (1, 2)
    assert coarse.bounds[2] >= GRID.bounds[2]


def test_a_grid_without_cells_is_refused() -> None:
    with pytest.raises(SettingsError, match="positive"):
        Grid(32615, 0, 0, 10, 0, 4)


def test_a_layer_reads_values_at_points_and_nan_off_the_grid() -> None:
    layer = Layer("height", "m", GRID, np.arange(24.0).reshape(4, 6))
    assert layer.at(np.array([[500_015, 5_199_995], [0, 0]])).tolist()[0] == 1
    assert np.isnan(layer.at(np.array([[0.0, 0.0]]))[0])


def test_a_layer_cannot_be_changed_or_mixed_with_one_of_another_grid() -> None:
    layer = Layer("height", "m", GRID, np.zeros((4, 6)))
    with pytest.raises(ValueError, match="read-only"):
        layer.values[0, 0] = 1
    other = Layer("height", "m", GRID.coarsened(2), np.zeros((2, 3)))
    with pytest.raises(GridMismatchError, match="different grids"):
        layer.checked_against(other)
    with pytest.raises(GridMismatchError, match="24"):
        Layer("x", "m", GRID.coarsened(2), np.zeros(24))
