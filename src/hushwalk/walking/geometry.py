"""Lines in grid metres made ready for the walk: checked, flattened and clipped.

Reading them from files is not done here.
"""

from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray

LINES = {"LineString", "MultiLineString", "LinearRing"}


def cell_units(grid: Grid, xy_m: FloatArray) -> FloatArray:
    """Rows and columns as real numbers; the centre of a cell has whole ones.

    Parameters
    ----------
    xy_m : shape (n, 2) easting and northing [m].

    Returns
    -------
    ndarray, shape (n, 2)
        Row and column.
    """
    points = np.asarray(xy_m, dtype=float)
    return np.stack(
        [(grid.north_m - points[..., 1]) / grid.cell_m - 0.5, (points[..., 0] - grid.west_m) / grid.cell_m - 0.5],
        axis=-1,
    )


def lines_of(grid: Grid, shapes: Iterable[Any], what: str) -> list[Any]:
    """Single lines on the grid.

    Parameters
    ----------
    shapes : shapely lines or multi-lines in grid metres.
    what : the layer to name in an error.

    Returns
    -------
    list of shapely lines
        Clipped, flat and single.

    Raises
    ------
    InputError
        If a shape is not a line.
    """
    ground = shapely.box(*grid.bounds)
    found: list[Any] = []
    for number, shape in enumerate(shapes, start=1):
        if shape is None or shape.is_empty:
            continue
        if shape.geom_type not in LINES:
            raise InputError(
                f"layer {what!r}: shape {number} is a {shape.geom_type}, but {what} must be lines; "
                "give areas under the kind 'water', 'wetlands' or 'closed'"
            )
        clipped = shapely.intersection(shapely.force_2d(shape), ground)
        found += [part for part in shapely.get_parts(clipped) if part.geom_type == "LineString" and part.length > 0]
    return found
