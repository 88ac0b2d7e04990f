"""Values along straight lines over a grid: bilinear for heights, the cell itself for classes.

What a profile means - a screen, a slope - is the business of those who ask for it.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numba import njit

from hushwalk.errors import PlaceError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray

ON_AN_EDGE = 1e-9
"""Judgement: a place this little before an edge, in cells, lies on it: rounding differs from end to end of a line."""


@dataclass(frozen=True, eq=False)
class Profile:
    """A layer along one straight line.

    Parameters
    ----------
    name, unit : of the layer.
    distance_m : shape (n,) from the start [m]; the first is 0, the last the whole length.
    values : shape (n,) in the layer's unit; NaN where unknown.
    """

    name: str
    unit: str
    distance_m: FloatArray = field(repr=False)
    values: FloatArray = field(repr=False)


@njit(cache=True, nogil=True, error_model="numpy")
def pieces_of(length_m, step_m):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Count the equal pieces, none longer than ``step_m``, that a line is cut into; at least one."""
    return max(math.ceil(length_m / step_m - 1e-9), 1)


@njit(cache=True, nogil=True, error_model="numpy")
def between_cells(values, row, col):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Bilinear value at a fractional place, cell centres being whole numbers; held at the rim, NaN beside unknown.

    Parameters
    ----------
    values : of every cell, of the shape of the grid.
    row : fractional row, whole at cell centres.
    col : fractional column, whole at cell centres.

    Returns
    -------
    float
        In the unit of the values.
    """
    n_rows, n_cols = values.shape
    # plain ifs and unsigned indices: four times quicker here than min, max and indices that might be negative
    if row < 0.0:  # noqa: PLR1730
        row = 0.0
    if col < 0.0:  # noqa: PLR1730
        col = 0.0
    if row > n_rows - 1.0:  # noqa: PLR1730
        row = n_rows - 1.0
    if col > n_cols - 1.0:  # noqa: PLR1730
        col = n_cols - 1.0
    r, c = np.uint32(row), np.uint32(col)
    down, right = min(r + np.uint32(1), np.uint32(n_rows - 1)), min(c + np.uint32(1), np.uint32(n_cols - 1))
    a, b = row - r, col - c
    upper = values[r, c] + b * (values[r, right] - values[r, c])
    return upper + a * (values[down, c] + b * (values[down, right] - values[down, c]) - upper)


@njit(cache=True, nogil=True, error_model="numpy")
def between_known_cells(values, row, col):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Do the same, slower, but NaN only where a corner that counts is unknown.

    Parameters
    ----------
    values : of every cell, of the shape of the grid.
    row : fractional row, whole at cell centres.
    col : fractional column, whole at cell centres.

    Returns
    -------
    float
        In the unit of the values.
    """
    n_rows, n_cols = values.shape
    row, col = min(max(row, 0.0), n_rows - 1.0), min(max(col, 0.0), n_cols - 1.0)
    r, c = int(row), int(col)
    down, right = min(r + 1, n_rows - 1), min(c + 1, n_cols - 1)
    a, b = row - r, col - c
    found = (1.0 - a) * (1.0 - b) * values[r, c]
    if b > 0.0:
        found += (1.0 - a) * b * values[r, right]
    if a > 0.0:
        found += a * (1.0 - b) * values[down, c]
    if a > 0.0 and b > 0.0:
        found += a * b * values[down, right]
    return found


@njit(cache=True, nogil=True, error_model="numpy")
def cell_of(row, col, n_rows, n_cols):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Row and column of the cell that holds a fractional place; held at the rim.

    Parameters
    ----------
    row : fractional row, whole at cell centres.
    col : fractional column, whole at cell centres.
    n_rows : rows of the grid.
    n_cols : columns of the grid.

    Returns
    -------
    tuple of int
        Row and column.
    """
    r = min(max(math.floor(row + 0.5 + ON_AN_EDGE), 0), n_rows - 1)
    c = min(max(math.floor(col + 0.5 + ON_AN_EDGE), 0), n_cols - 1)
    return r, c


@njit(cache=True, nogil=True, error_model="numpy")
def _read(values, rows, cols, smooth):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Read many places at once."""
    found = np.empty(rows.size)
    for i in range(rows.size):
        if smooth:
            found[i] = between_known_cells(values, rows[i], cols[i])
        else:
            r, c = cell_of(rows[i], cols[i], values.shape[0], values.shape[1])
            found[i] = values[r, c]
    return found


def cell_places(grid: Grid, xy_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Fractional rows and columns of points, counted from the centre of cell (0, 0).

    Parameters
    ----------
    grid : the grid.
    xy_m : shape (n, 2) easting and northing [m].

    Returns
    -------
    tuple of ndarray
        Rows and columns, shape (n,).
    """
    points = np.atleast_2d(np.asarray(xy_m, dtype=float))
    rows = (grid.north_m - points[:, 1]) / grid.cell_m - 0.5
    cols = (points[:, 0] - grid.west_m) / grid.cell_m - 0.5
    return np.ascontiguousarray(rows), np.ascontiguousarray(cols)


def bilinear(layer: Layer, xy_m: FloatArray) -> FloatArray:
    """Values between cell centres; held at the rim, NaN off the grid or beside unknown cells.

    Parameters
    ----------
    layer : a continuous quantity, such as elevation.
    xy_m : shape (n, 2) easting and northing [m].

    Returns
    -------
    ndarray, shape (n,)
    """
    points = np.atleast_2d(np.asarray(xy_m, dtype=float))
    rows, cols = cell_places(layer.grid, points)
    found: FloatArray = _read(layer.values, rows, cols, True)  # noqa: FBT003
    found[~layer.grid.contains(points)] = np.nan
    return found


def profile(
    layer: Layer, start_m: tuple[float, float], end_m: tuple[float, float], *, smooth: bool, step_m: float | None = None
) -> Profile:
    """Values along the straight line between two points.

    Parameters
    ----------
    layer : the quantity.
    start_m, end_m : easting and northing [m].
    smooth : True reads between cell centres (elevation), False the cell that holds each point (classes, factors).
    step_m : longest piece; the cell size if not given [m].

    Returns
    -------
    Profile
        At both ends and at equal steps between them.

    Raises
    ------
    PlaceError
        If an end lies off the grid.
    """
    grid = layer.grid
    for end, word in ((start_m, "the start of the profile"), (end_m, "the end of the profile")):
        grid.cell_at(end, word)
    length = math.hypot(end_m[0] - start_m[0], end_m[1] - start_m[1])
    if length == 0:
        raise PlaceError(f"a profile needs two different points, both are E {start_m[0]:.1f} N {start_m[1]:.1f}")
    share = np.linspace(0, 1, pieces_of(length, step_m or grid.cell_m) + 1)[:, np.newaxis]
    points = np.asarray(start_m) * (1 - share) + np.asarray(end_m) * share
    rows, cols = cell_places(grid, points)
    return Profile(layer.name, layer.unit, share[:, 0] * length, _read(layer.values, rows, cols, smooth))
