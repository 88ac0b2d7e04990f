"""Ground made from a formula."""

from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import slope
from hushwalk.logs.log import HideGround

MIDDLE = (597_700.0, 5_272_900.0)
CELLS = 41

Height = Callable[[np.ndarray, np.ndarray], np.ndarray]


@pytest.fixture
def hide_ground() -> Callable[[Height], HideGround]:
    """Heights from a function of metres east and north of the middle, 410 m wide, 10 m cells; nothing is blocked."""

    def made(height: Height) -> HideGround:
        grid = Grid(32615, MIDDLE[0] - CELLS * 5, MIDDLE[1] + CELLS * 5, 10.0, CELLS, CELLS)
        rows, cols = np.indices(grid.shape)
        east, north = (cols - CELLS // 2) * 10.0, (CELLS // 2 - rows) * 10.0
        layer = Layer("elevation", "m", grid, height(east, north) + 0.0 * east)
        return HideGround(layer, slope(layer), np.zeros(grid.shape, dtype=bool))

    return made


@pytest.fixture
def level(hide_ground: Callable[[Height], HideGround]) -> HideGround:
    return hide_ground(lambda _e, _n: np.array(400.0))
