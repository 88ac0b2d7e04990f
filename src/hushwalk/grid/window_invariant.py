"""Brings rasters onto windows of a wide grid so that each cell gets the same value in whichever window it lies.

The grid of one trip is filled by align.py, which may blend over the whole at once.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from affine import Affine
from numba import njit
from numpy.typing import NDArray

from hushwalk.grid.align import NO_CLASS
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray

BLOCK = 16
"""Judgement: between places 16 cells apart a map projection is straight to a millimetre or so."""

SAMPLES_MAX = 5  # judgement: 25 samples in a cell tell its commonest class or its mean well enough
MARGIN = 2.0  # definition: cells read beyond the samples, for blending


@dataclass(frozen=True, eq=False)
class Positions:
    """Where the cells of a window lie on the lattice of a raster.

    Parameters
    ----------
    row, col, n_rows, n_cols : the window in the wide grid.
    cols, rows : shape (p, q), columns and rows of the raster, not rounded, at block corners.
    """

    row: int
    col: int
    n_rows: int
    n_cols: int
    cols: FloatArray = field(repr=False)
    rows: FloatArray = field(repr=False)

    def needed(self, height: int, width: int) -> tuple[int, int, int, int] | None:
        """First row and column and numbers of rows and columns of the raster that are needed; None if it is not met."""
        known = np.isfinite(self.cols) & np.isfinite(self.rows)
        if not known.any():
            return None
        first_col, last_col = self.cols[known].min() - MARGIN, self.cols[known].max() + MARGIN
        first_row, last_row = self.rows[known].min() - MARGIN, self.rows[known].max() + MARGIN
        top, left = max(0, int(np.floor(first_row))), max(0, int(np.floor(first_col)))
        bottom, right = min(height, int(np.ceil(last_row))), min(width, int(np.ceil(last_col)))
        return (top, left, bottom - top, right - left) if bottom > top and right > left else None


def positions(
    grid: Grid, window: tuple[int, int, int, int], carry: Callable[[FloatArray], FloatArray], transform: Affine
) -> Positions:
    """Find where the cells of a window lie on a raster.

    Parameters
    ----------
    grid : the whole wide grid.
    window : first row and column, numbers of rows and columns.
    carry : from metres of the grid to coordinates of the raster, shape (n, 2) -> (n, 2).
    transform : from (column, row) corners of the raster to its coordinates.

    Returns
    -------
    Positions
        Rows and columns on the raster.

    Notes
    -----
    Exact at block corners, which are the same whatever the window; straight lines between.
    """
    row, col, n_rows, n_cols = window
    down = np.arange(row // BLOCK, (row + n_rows - 1) // BLOCK + 2) * BLOCK
    right = np.arange(col // BLOCK, (col + n_cols - 1) // BLOCK + 2) * BLOCK
    east, north = grid.west_m + right * grid.cell_m, grid.north_m - down * grid.cell_m
    corners = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    back = ~transform
    x, y = carry(corners).T
    shape = len(down), len(right)
    cols = (back.a * x + back.b * y + back.c).reshape(shape)
    rows = (back.d * x + back.e * y + back.f).reshape(shape)
    return Positions(row, col, n_rows, n_cols, cols, rows)


def samples_for(cell_m: float, source_m: float, *, finer: bool) -> int:
    """Samples along the side of a cell: one, or as many as finer source cells fit.

    Parameters
    ----------
    cell_m : side of a cell of the window [m].
    source_m : side of a cell of the raster [m].
    finer : whether the raster is finer than the window.

    Returns
    -------
    int
        At least 1.
    """
    return int(np.clip(round(cell_m / source_m), 2, SAMPLES_MAX)) if finer else 1


def invariant_classes(source: NDArray[Any], corner: tuple[int, int], at: Positions, samples: int) -> NDArray[np.int32]:
    """Take the class of each cell: that of its middle, or the commonest of several samples.

    Parameters
    ----------
    source : classes, ``NO_CLASS`` where unknown.
    corner : row and column of the raster where ``source`` begins.
    at : where the cells lie.
    samples : along the side of a cell.

    Returns
    -------
    ndarray, shape (n_rows, n_cols)
        ``NO_CLASS`` where the raster says nothing.
    """
    found = np.full((at.n_rows, at.n_cols), NO_CLASS, dtype=np.int32)
    whole = np.ascontiguousarray(source, dtype=np.int32)
    _classes(whole, corner[0], corner[1], at.row, at.col, at.cols, at.rows, samples, NO_CLASS, found)
    return found


def invariant_measures(
    source: NDArray[Any], corner: tuple[int, int], at: Positions, samples: int
) -> NDArray[np.float32]:
    """Take the value of each cell: blended between four middles, or the mean of several samples.

    Parameters
    ----------
    source, corner, at, samples : as for :func:`invariant_classes`; NaN where unknown.

    Returns
    -------
    ndarray, shape (n_rows, n_cols)
        NaN where the raster says nothing; unknown neighbours are left out instead of blended.
    """
    found = np.full((at.n_rows, at.n_cols), np.nan, dtype=np.float32)
    values = np.ascontiguousarray(source, dtype=np.float32)
    _measures(values, corner[0], corner[1], at.row, at.col, at.cols, at.rows, samples, found)
    return found


def invariant_stands(source: NDArray[Any], corner: tuple[int, int], at: Positions) -> NDArray[np.float32]:
    """Take the number of the stand in which the middle of each cell lies, never blended.

    Parameters
    ----------
    source, corner, at : as for :func:`invariant_classes`; NaN where unknown.

    Returns
    -------
    ndarray, shape (n_rows, n_cols)
        NaN where the raster says nothing.
    """
    found = np.full((at.n_rows, at.n_cols), np.nan, dtype=np.float32)
    values = np.ascontiguousarray(source, dtype=np.float32)
    _stands(values, corner[0], corner[1], at.row, at.col, at.cols, at.rows, found)
    return found


@njit(cache=True, nogil=True)
def _place(field: FloatArray, row: float, col: float, top: int, left: int) -> float:  # pragma: no cover  compiled
    """Value between block corners at a place of the wide grid, in cells."""
    i, j = int(row // BLOCK), int(col // BLOCK)
    u, v = row / BLOCK - i, col / BLOCK - j
    i, j = i - top, j - left
    upper = field[i, j] * (1 - v) + field[i, j + 1] * v
    lower = field[i + 1, j] * (1 - v) + field[i + 1, j + 1] * v
    return float(upper * (1 - u) + lower * u)


@njit(cache=True, nogil=True)
def _classes(  # pragma: no cover  compiled
    source: NDArray[np.int32],
    first_row: int,
    first_col: int,
    row: int,
    col: int,
    cols: FloatArray,
    rows: FloatArray,
    samples: int,
    unknown: int,
    found: NDArray[np.int32],
) -> None:
    top, left = row // BLOCK, col // BLOCK
    held = np.empty(samples * samples, dtype=np.int32)
    for r in range(found.shape[0]):
        for c in range(found.shape[1]):
            n = 0
            for a in range(samples):
                for b in range(samples):
                    down, right = row + r + (a + 0.5) / samples, col + c + (b + 0.5) / samples
                    y, x = _place(rows, down, right, top, left), _place(cols, down, right, top, left)
                    if not (np.isfinite(x) and np.isfinite(y)):
                        continue
                    i, j = int(np.floor(y)) - first_row, int(np.floor(x)) - first_col
                    if 0 <= i < source.shape[0] and 0 <= j < source.shape[1] and source[i, j] != unknown:
                        held[n] = source[i, j]
                        n += 1
            most = 0
            for k in range(n):
                same = 0
                for m in range(n):
                    same += held[m] == held[k]
                if same > most:
                    most, found[r, c] = same, held[k]


@njit(cache=True, nogil=True)
def _stands(  # pragma: no cover  compiled
    source: NDArray[np.float32],
    first_row: int,
    first_col: int,
    row: int,
    col: int,
    cols: FloatArray,
    rows: FloatArray,
    found: NDArray[np.float32],
) -> None:
    top, left = row // BLOCK, col // BLOCK
    for r in range(found.shape[0]):
        for c in range(found.shape[1]):
            down, right = row + r + 0.5, col + c + 0.5
            y, x = _place(rows, down, right, top, left), _place(cols, down, right, top, left)
            if np.isfinite(x) and np.isfinite(y):
                i, j = int(np.floor(y)) - first_row, int(np.floor(x)) - first_col
                if 0 <= i < source.shape[0] and 0 <= j < source.shape[1]:
                    found[r, c] = source[i, j]


@njit(cache=True, nogil=True)
def _measures(  # noqa: C901  # pragma: no cover  compiled; calls inside would slow it down
    source: NDArray[np.float32],
    first_row: int,
    first_col: int,
    row: int,
    col: int,
    cols: FloatArray,
    rows: FloatArray,
    samples: int,
    found: NDArray[np.float32],
) -> None:
    top, left = row // BLOCK, col // BLOCK
    for r in range(found.shape[0]):
        for c in range(found.shape[1]):
            total, weight = 0.0, 0.0
            for a in range(samples):
                for b in range(samples):
                    down, right = row + r + (a + 0.5) / samples, col + c + (b + 0.5) / samples
                    y, x = _place(rows, down, right, top, left), _place(cols, down, right, top, left)
                    if not (np.isfinite(x) and np.isfinite(y)):
                        continue
                    if samples == 1:
                        y, x = y - 0.5, x - 0.5
                    i, j = int(np.floor(y)), int(np.floor(x))
                    u, v = (y - i, x - j) if samples == 1 else (0.0, 0.0)
                    for p in range(2):
                        for q in range(2):
                            w = (u if p == 1 else 1 - u) * (v if q == 1 else 1 - v)
                            k, m = i + p - first_row, j + q - first_col
                            if w > 0 and 0 <= k < source.shape[0] and 0 <= m < source.shape[1]:
                                value = source[k, m]
                                if np.isfinite(value):
                                    total += w * value
                                    weight += w
            if weight > 0.25 * samples * samples:  # judgement: a cell that is mostly unknown is unknown
                found[r, c] = total / weight
