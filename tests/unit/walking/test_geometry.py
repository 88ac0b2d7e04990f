import numpy as np
import pytest
import shapely

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.walking.geometry import cell_units, lines_of

GRID = Grid(32615, 1000.0, 2000.0, 10.0, 5, 8)


def test_the_middle_of_a_cell_has_whole_numbers() -> None:
    assert cell_units(GRID, GRID.xy([0, 3], [0, 7])) == pytest.approx(np.array([[0.0, 0.0], [3.0, 7.0]]))


def test_lines_are_flattened_and_clipped_to_the_grid() -> None:
    three = shapely.MultiLineString([[(900, 1990), (1100, 1990)], [(1005, 1960, 3), (1015, 1960, 4)]])
    found = lines_of(GRID, [three, None, shapely.LineString()], "streams")
    assert sorted(line.length for line in found) == pytest.approx([10.0, 80.0])
    assert not any(line.has_z for line in found)


def test_an_area_among_lines_is_named() -> None:
    with pytest.raises(InputError, match=r"'trails': shape 1 is a Polygon"):
        lines_of(GRID, [shapely.box(0, 0, 1, 1)], "trails")
