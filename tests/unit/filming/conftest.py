"""A hill country made from a formula, and one April day over it."""

from collections.abc import Callable
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.filming.sky_day import SkyDay, sky_day
from hushwalk.filming.skyline import Skyline
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer

ZONE = ZoneInfo("America/Chicago")
LON, LAT = -91.7, 47.6
MIDDLE = (597_700.0, 5_272_900.0)


@pytest.fixture(scope="session")
def april() -> SkyDay:
    return sky_day(date(2027, 4, 25), ZONE, LON, LAT)


@pytest.fixture
def skyline() -> Callable[..., Skyline]:
    def made(ridge_deg: float = 0.0, trees_deg: float = -np.inf) -> Skyline:
        n = 360
        return Skyline(np.full(n, ridge_deg), np.full(n, trees_deg), np.full(n, 2e4), 2e4)

    return made


@pytest.fixture
def country() -> Callable[[Callable[[np.ndarray, np.ndarray], np.ndarray]], Layer]:
    """Heights from a function of metres east and north of the middle, 2 km wide, 10 m cells."""

    def made(height: Callable[[np.ndarray, np.ndarray], np.ndarray]) -> Layer:
        n = 201
        grid = Grid(32615, MIDDLE[0] - n * 5, MIDDLE[1] + n * 5, 10.0, n, n)
        rows, cols = np.indices(grid.shape)
        east, north = (cols - n // 2) * 10.0, (n // 2 - rows) * 10.0
        return Layer("elevation", "m", grid, height(east, north) + 0.0 * east)

    return made
