"""What is said of a place where no bird can be."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from hushwalk.errors import PlaceError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.wording.habitat_words import why_words

GRID = Grid(32615, 500_000.0, 5_200_100.0, 10.0, 10, 10)


def site() -> Any:
    water = np.zeros(GRID.shape, dtype=bool)
    water[2:5, 2:5] = True
    return cast(Any, SimpleNamespace(grid=GRID, ground=SimpleNamespace(water=water)))


def lonlat(x: float, y: float) -> tuple[float, float]:
    lon, lat = to_lonlat(GRID.epsg, np.array([x, y])).tolist()
    return lon, lat


def test_open_water_is_called_water_and_not_poor_ground() -> None:
    assert "open water" in why_words(site(), lonlat(500_035.0, 5_200_065.0))


def test_a_place_off_the_ground_is_refused() -> None:
    with pytest.raises(PlaceError):
        why_words(site(), lonlat(501_035.0, 5_200_065.0))
