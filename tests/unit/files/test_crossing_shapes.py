"""Shapes that cross themselves: repaired where one can tell what they mean, refused where they cross everywhere."""

from time import process_time

import numpy as np
import pytest
import shapely

from hushwalk.errors import InputError
from hushwalk.files.crossing_shapes import crossings_within, repaired


def star(corners: int) -> shapely.Polygon:
    turn = np.arange(corners) * np.pi * (1 - 1 / corners)
    return shapely.Polygon(np.stack([np.cos(turn), np.sin(turn)], axis=1))


def test_the_crossings_of_a_star_are_counted() -> None:
    """Every side of such a star polygon crosses all but itself and its two neighbours: n (n - 3) / 2 crossings."""
    assert crossings_within(star(101)) == pytest.approx(101 * 98 / 2)


@pytest.mark.parametrize("corners", [501, 20_001])
def test_a_shape_that_crosses_itself_everywhere_is_refused_at_once(corners: int) -> None:
    began = process_time()
    with pytest.raises(InputError, match=r"layer closed: a\.gpkg holds a shape of .* crosses itself everywhere"):
        repaired(np.array([star(corners)], dtype=object), np.array([True]), "layer closed: a.gpkg")
    assert process_time() - began < 10


def test_a_long_shore_with_one_crossing_is_repaired() -> None:
    turn = np.linspace(0, 2 * np.pi, 20_000)
    shore = np.stack([np.cos(turn), np.sin(turn)], axis=1) * (1 + 0.01 * np.sin(400 * turn))[:, None]
    shore[[100, 101]] = shore[[101, 100]]
    lake = shapely.Polygon(shore)
    assert not lake.is_valid
    (mended,) = repaired(np.array([lake], dtype=object), np.array([True]), "layer water: a.gpkg")
    assert mended.is_valid
    assert mended.area == pytest.approx(lake.area, rel=1e-3)
