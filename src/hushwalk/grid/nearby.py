"""What lies near each cell: distance to the nearest marked cell, mean within a disc.

Distances on foot are walking's business; these are straight lines between cell centres.
"""

import numpy as np
from numba import njit
from scipy.ndimage import distance_transform_edt

from hushwalk.errors import GridMismatchError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.types import BoolArray, FloatArray, IntArray

PER_UNIT = 3.6e9
"""Definition: values are added as whole multiples of one part in this, so that a sum does not depend on its order and a
part of the ground gives the same to the last bit. Decimals and thirds are such multiples exactly."""

LARGEST_SUM = 2.0**31  # definition: PER_UNIT times a sum below this fits a 64-bit whole number


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
    cells = distance_transform_edt(~marked)  # in cells, so that a part of the ground gives the same
    return np.asarray(cells * grid.cell_m)


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
        NaN where the disc holds no known value. Ground beyond the edge of the grid counts as unknown. The mean of a
        cell is the same to the last bit in every part of the ground that holds its whole disc.

    Raises
    ------
    GridMismatchError
        If the values have another shape than the grid.
    SettingsError
        If the radius is negative or not finite, or the values are too large to be added exactly.
    """
    field: FloatArray = np.asarray(values, dtype=float)
    _check_shape(field.shape, grid)
    known = np.isfinite(field)
    largest = float(np.max(np.abs(field), initial=0.0, where=known))
    whole = np.rint(np.where(known, field, 0.0) * PER_UNIT)
    if largest * _half_widths(radius_m, grid).size ** 2 >= LARGEST_SUM:
        raise SettingsError(f"a disc of {radius_m:g} m holds values up to {largest:g}, too large to be added exactly")
    return known_mean(whole.astype(np.int64), known.astype(np.int64), radius_m, grid, 1)


def known_mean(whole: IntArray, known: IntArray, radius_m: float, grid: Grid, most: int) -> FloatArray:
    """Mean within a disc of values that stand as whole multiples of one part in ``PER_UNIT``.

    Parameters
    ----------
    whole : shape grid.shape, sums of such values; 0 where unknown.
    known : shape grid.shape, how many values each cell holds.
    radius_m : as for :func:`disc_mean` [m].
    grid : the grid they lie on.
    most : values that a cell can hold.

    Returns
    -------
    ndarray, shape grid.shape
        NaN where the disc holds no known value.

    Notes
    -----
    Where both sums fit, they are added side by side in one whole number, which gives the same.
    """
    cells = int((2 * _half_widths(radius_m, grid) + 1).sum()) * most
    bits = cells.bit_length()
    if int(whole.max(initial=0)) * cells // most < 1 << (62 - bits) and int(whole.min(initial=0)) >= 0:
        both = disc_total((whole << bits) | known, radius_m, grid)
        total, count = both >> bits, both & ((1 << bits) - 1)
    else:
        total, count = disc_total(whole, radius_m, grid), disc_total(known, radius_m, grid)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean: FloatArray = np.where(count > 0, total / (PER_UNIT * count), np.nan)
    return mean


def disc_total(whole: IntArray, radius_m: float, grid: Grid) -> IntArray:
    """Sum of whole numbers within a disc round each cell.

    Parameters
    ----------
    whole : shape grid.shape, whole numbers; nothing lies beyond the edge of the grid.
    radius_m : as for :func:`disc_mean` [m].
    grid : the grid they lie on.

    Returns
    -------
    ndarray, shape grid.shape

    Raises
    ------
    GridMismatchError
        If the numbers have another shape than the grid.
    SettingsError
        If the radius is negative or not finite.
    """
    _check_shape(whole.shape, grid)
    return np.asarray(_disc_totals(np.ascontiguousarray(whole, dtype=np.int64), _half_widths(radius_m, grid)))


def _half_widths(radius_m: float, grid: Grid) -> IntArray:
    """Cells left and right of the middle in each row of the disc, from its first row to its last."""
    if not (np.isfinite(radius_m) and radius_m >= 0):
        raise SettingsError(f"a disc needs a radius of 0 m or more, got {radius_m}")
    reach = radius_m / grid.cell_m * (1 + 1e-12)  # a centre exactly on the rim belongs to the disc
    tall = min(int(reach), grid.n_rows - 1)
    down = np.arange(-tall, tall + 1)
    return np.asarray(np.minimum(np.sqrt(reach**2 - down**2).astype(np.int64), grid.n_cols - 1))


@njit(cache=True, nogil=True)
def _disc_totals(whole: IntArray, halves: IntArray) -> IntArray:  # pragma: no cover  compiled
    """Row by row of the disc from running sums: as many steps as the disc has rows."""
    n_rows, n_cols = whole.shape
    tall, wide = len(halves) // 2, halves.max()
    running = np.zeros((n_rows, n_cols + 2 * wide + 1), dtype=np.int64)
    for r in range(n_rows):
        total = np.int64(0)
        for c in range(n_cols):
            total += whole[r, c]
            running[r, c + wide + 1] = total
        running[r, n_cols + wide + 1 :] = total
    found = np.zeros((n_rows, n_cols), dtype=np.int64)
    for r in range(n_rows):
        sums = found[r]
        for d in range(max(-tall, -r), min(tall, n_rows - 1 - r) + 1):
            first, last = wide - halves[tall + d], wide + halves[tall + d] + 1
            low, high = running[r + d, first : first + n_cols], running[r + d, last : last + n_cols]
            for c in range(n_cols):
                sums[c] += high[c] - low[c]
    return found


def _check_shape(shape: tuple[int, ...], grid: Grid) -> None:
    if shape != grid.shape:
        raise GridMismatchError(f"an array of {shape} does not fit a grid of {grid.shape} cells")
