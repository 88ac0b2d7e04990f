import numpy as np
import pytest

from hushwalk.errors import GridMismatchError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.walking.ground import GroundParams, build_ground

GRID = Grid(32615, 0.0, 200.0, 10.0, 20, 30)
ROWS, COLS = np.indices(GRID.shape)


def heights(z: np.ndarray) -> Layer:
    return Layer("elevation", "m", GRID, z)


def test_each_barrier_has_its_name_and_closed_ground_wins() -> None:
    z = np.where(COLS >= 20, (COLS - 20) * 12.0, 0.0)
    z[0, 0] = np.nan
    water, closed = COLS < 3, ROWS > 17
    ground = build_ground(heights(z), water=water, closed=closed)
    assert ground.barrier_at(5, 1) == "open water"
    assert ground.barrier_at(5, 25) == "cliff"
    assert ground.barrier_at(19, 1) == "closed ground"
    assert ground.barrier_at(0, 0) == "height unknown"
    assert ground.barrier_at(5, 10) == "open"
    assert np.array_equal(ground.blocked, ground.barrier > 0)
    assert np.isfinite(ground.elevation_m).all()


def test_the_cliff_limit_is_a_parameter() -> None:
    slope_of_35 = heights(COLS * 10 * np.tan(np.radians(35.0)))
    assert not build_ground(slope_of_35).blocked.any()
    assert build_ground(slope_of_35, params=GroundParams(cliff_deg=30.0)).blocked.all()


def test_unknown_growth_counts_as_closed_forest() -> None:
    factor = np.full(GRID.shape, 2.0)
    factor[3, 4] = np.nan
    ground = build_ground(heights(np.zeros(GRID.shape)), pace_factor=Layer("pace factor", "1", GRID, factor))
    assert ground.pace_factor[3, 4] == 1.0
    assert ground.pace_factor[3, 5] == 2.0


def test_a_pace_factor_of_zero_names_the_cell() -> None:
    factor = np.ones(GRID.shape)
    factor[3, 4] = 0.0
    with pytest.raises(InputError, match=r"'pace factor'.*row 3, column 4"):
        build_ground(heights(np.zeros(GRID.shape)), pace_factor=Layer("pace factor", "1", GRID, factor))


def test_a_mask_or_layer_of_another_grid_is_an_error() -> None:
    flat = heights(np.zeros(GRID.shape))
    with pytest.raises(GridMismatchError, match="'water'"):
        build_ground(flat, water=np.zeros((2, 2), dtype=bool))
    other = Grid(32615, 0.0, 210.0, 10.0, 20, 30)
    with pytest.raises(GridMismatchError):
        build_ground(flat, pace_factor=Layer("pace factor", "1", other, np.ones(other.shape)))


def test_no_height_at_all_is_an_error() -> None:
    with pytest.raises(InputError, match="no height"):
        build_ground(heights(np.full(GRID.shape, np.nan)))
