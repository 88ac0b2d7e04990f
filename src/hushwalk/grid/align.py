"""Lattices of rasters, how they are resampled, and shapes burnt onto the grid of the trip.

Opening files is the files room's business; this file never touches the disk.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray
from rasterio.features import rasterize
from rasterio.features import shapes as outlines

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import carried, transformer
from hushwalk.types import BoolArray, FloatArray

How = Literal["bilinear", "average", "nearest", "mode"]

NO_CLASS = np.iinfo(np.int32).min
"""Marks cells without a class in arrays of whole numbers."""

FINER = 0.75  # judgement: below this share of our cell the source is finer, and a cell is a summary of several


@dataclass(frozen=True, eq=False)
class RasterPatch:
    """A piece of a raster as it came, on its own lattice; south-up and rotated lattices are fine.

    Parameters
    ----------
    values : shape (rows, cols); floats with NaN where unknown, or int32 with ``NO_CLASS``.
    transform : from (column, row) corners to coordinates of ``crs``.
    crs : code or well-known text.
    """

    values: NDArray[Any] = field(repr=False)
    transform: Affine
    crs: str


def source_cell_m(transform: Affine, crs: str, grid: Grid, lon_deg: float, lat_deg: float) -> float:
    """Size on the ground of the cells of a raster, at a place [m].

    Parameters
    ----------
    transform, crs : lattice of the raster.
    grid : the grid in whose metres the size is wanted.
    lon_deg, lat_deg : the place [deg].

    Returns
    -------
    float
        Square root of the area of one cell [m].
    """
    x, y = transformer("EPSG:4326", crs, lon_deg, lat_deg).transform(lon_deg, lat_deg)
    corners = np.array([[x, y], [x + transform.a, y + transform.d], [x + transform.b, y + transform.e]])
    here, along, down = carried(corners, transformer(crs, grid.crs, lon_deg, lat_deg))
    (a, d), (b, e) = along - here, down - here
    return float(np.sqrt(abs(a * e - b * d)))


def way_for(kind: Literal["measure", "class", "stand"], source_m: float, grid: Grid) -> How:
    """Choose how a raster is resampled: classes and stands are never blended.

    Parameters
    ----------
    kind : what the numbers are; those of a stand hold up to its bounds, where those of the next begin.
    source_m : size of the raster's cells [m].
    grid : the grid they are wanted on.

    Returns
    -------
    How
        How the raster is resampled.
    """
    if kind == "stand":
        return "nearest"
    finer = source_m < FINER * grid.cell_m
    if kind == "measure":
        return "average" if finer else "bilinear"
    return "mode" if finer else "nearest"


def strips(grid: Grid, rows_each: int) -> Iterator[tuple[slice, Grid]]:
    """Cut a grid into strips of whole rows, so that no source need be held at once.

    Yields
    ------
    tuple
        The rows of the strip, and the strip as a grid of its own.
    """
    for first in range(0, grid.n_rows, rows_each):
        n = min(rows_each, grid.n_rows - first)
        yield slice(first, first + n), replace(grid, north_m=grid.north_m - first * grid.cell_m, n_rows=n)


def burn(shapes: Iterable[Any], grid: Grid, *, touched: bool = False) -> BoolArray:
    """Mark the cells that shapes cover.

    Parameters
    ----------
    shapes : shapely geometries in metres of the grid.
    grid : the grid.
    touched : mark every cell that a shape touches instead of those whose centre it covers; right for lines.

    Returns
    -------
    ndarray of bool, shape grid.shape
    """
    return np.isfinite(burn_codes(((shape, 1.0) for shape in shapes), grid, touched=touched))


def burn_codes(pairs: Iterable[tuple[Any, float]], grid: Grid, *, touched: bool = False) -> FloatArray:
    """Write the code of each shape into the cells it covers; a later shape covers an earlier one.

    Parameters
    ----------
    pairs : (shapely geometry in metres of the grid, code).
    grid : the grid.
    touched : as for :func:`burn`.

    Returns
    -------
    ndarray, shape grid.shape
        NaN where no shape lies.
    """
    drawn = [(shape, code) for shape, code in pairs if shape is not None and not shape.is_empty]
    if not drawn:
        return np.full(grid.shape, np.nan)
    burnt: FloatArray = rasterize(
        drawn, out_shape=grid.shape, transform=grid.transform, fill=np.nan, all_touched=touched, dtype="float64"
    )
    return burnt


def outline(mask: BoolArray, grid: Grid, *, least_cells: int = 2) -> tuple[Any, ...]:
    """Polygons round the marked cells, in metres of the grid; cells meeting at a corner only are apart.

    Parameters
    ----------
    mask : shape grid.shape.
    grid : the grid.
    least_cells : smaller patches are left out.

    Returns
    -------
    tuple of shapely polygons
        Without the holes of a corner.

    Raises
    ------
    InputError
        If the mask has another shape than the grid.
    """
    if mask.shape != grid.shape:
        raise InputError(f"a mask of {mask.shape} does not fit a grid of {grid.shape} cells")
    found = outlines(mask.astype(np.uint8), mask=mask, connectivity=4, transform=grid.transform)
    polygons = [shapely.geometry.shape(drawn) for drawn, _ in found]
    least_m2 = (least_cells - 0.5) * grid.cell_m**2
    return tuple(polygon for polygon in polygons if polygon.area >= least_m2)
