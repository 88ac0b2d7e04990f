"""What lies near each cell: distance to the nearest marked cell, mean or share within a disc.

Distances on foot are walking's business; these are straight lines between cell centres.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.errors import GridMismatchError, SettingsError
from hushwalk.grid.grid import FloatArray, Grid

BoolArray = NDArray[np.bool_]


def distance_to(mask: BoolArray, grid: Grid) -> FloatArray:
    """Distance from each cell centre to the centre of the nearest marked cell.

    Parameters
    ----------
    mask : shape grid.shape, True where the thing is.
    grid : the grid both lie on.

    Returns
    -------
    ndarray, shape grid.shape
        [m], 0 on marked cells, infinite everywhere if nothing is marked.

    Raises
    ------
    GridMismatchError
        If the mask has another shape than the grid.

    Examples
    --------
    >>> grid = Grid(32615, 500000.0, 5000000.0, 10.0, 1, 4)
    >>> distance_to(np.array([[True, False, False, False]]), grid).tolist()
    [[0.0, 10.0, 20.0, 30.0]]
    """
    marked: BoolArray = np.asarray(mask, dtype=bool)
    _check_shape(marked.shape, grid)
    if not marked.any():
        return np.full(grid.shape, np.inf)
    found: FloatArray = ndimage.distance_transform_edt(~marked, sampling=grid.cell_m)
    return found


def disc_mean(values: FloatArray, radius_m: float, grid: Grid) -> FloatArray:
    """Mean of the known values within a disc round each cell.

    Parameters
    ----------
    values : shape grid.shape, NaN where unknown.
    radius_m : a cell counts if its centre lies within this distance of the disc's centre [m].
    grid : the grid they lie on.

    Returns
    -------
    ndarray, shape grid.shape
        NaN where the disc holds no known value. Ground beyond the edge of the grid counts as unknown.

    Raises
    ------
    GridMismatchError
        If the values have another shape than the grid.
    SettingsError
        If the radius is negative or not finite.
    """
    field: FloatArray = np.asarray(values, dtype=float)
    _check_shape(field.shape, grid)
    known = np.isfinite(field)
    count = _disc_sum(known.astype(float), radius_m, grid)
    total = _disc_sum(np.where(known, field, 0.0), radius_m, grid)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean: FloatArray = np.where(count > 0.5, total / count, np.nan)  # noqa: PLR2004  counts are whole numbers
    return mean


def disc_share(mask: BoolArray, radius_m: float, grid: Grid, known: BoolArray | None = None) -> FloatArray:
    """Share of the known cells within a disc that are marked.

    Parameters
    ----------
    mask : shape grid.shape, True where the thing is.
    radius_m : as for :func:`disc_mean` [m].
    grid : the grid they lie on.
    known : cells that count at all; all of them when None.

    Returns
    -------
    ndarray, shape grid.shape
        0..1; NaN where the disc holds no known cell.
    """
    marked = np.asarray(mask, dtype=float)
    shares = disc_mean(marked if known is None else np.where(known, marked, np.nan), radius_m, grid)
    return np.clip(shares, 0.0, 1.0)


def _disc_sum(field: FloatArray, radius_m: float, grid: Grid) -> FloatArray:
    """Sum within the disc, row by row of the disc from running sums: as many steps as the disc has rows."""
    if not (np.isfinite(radius_m) and radius_m >= 0):
        raise SettingsError(f"a disc needs a radius of 0 m or more, got {radius_m}")
    n_rows, n_cols = field.shape
    running = np.zeros((n_rows, n_cols + 1))
    np.cumsum(field, axis=1, out=running[:, 1:])
    reach = radius_m / grid.cell_m * (1 + 1e-12)  # a centre exactly on the rim belongs to the disc
    columns = np.arange(n_cols)
    total = np.zeros_like(field, dtype=float)
    for down in range(-min(int(reach), n_rows - 1), min(int(reach), n_rows - 1) + 1):
        half = int(np.sqrt(reach**2 - down**2))
        low, high = np.maximum(columns - half, 0), np.minimum(columns + half + 1, n_cols)
        here = slice(max(0, -down), min(n_rows, n_rows - down))
        there = slice(max(0, down), min(n_rows, n_rows + down))
        total[here] += running[there][:, high] - running[there][:, low]
    return total


def _check_shape(shape: tuple[int, ...], grid: Grid) -> None:
    if shape != grid.shape:
        raise GridMismatchError(f"an array of {shape} does not fit a grid of {grid.shape} cells")
