"""Streams as short pieces filed by cell, and the fords that a straight step makes through them.

Open water that nobody wades is a barrier of ground.py; bridges belong to trails.py.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numba import njit
from numpy.typing import NDArray

from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray, Int32Array
from hushwalk.walking.geometry import cell_units, lines_of

EDGE = 1e-6  # definition: width of a cell's edge, so that a piece on the edge is filed on both sides [cells]
MOST_FORDS = 64  # definition: crossings that one straight step may gather


@dataclass(frozen=True, eq=False)
class Streams:
    """Stream pieces in cell units and where to find them.

    Parameters
    ----------
    pieces : shape (m, 4), row and column of both ends; a cell's centre has whole numbers.
    ford_s : seconds that one ford takes [s].
    start, filed : pieces of cell k are filed[start[k]:start[k + 1]].
    """

    pieces: FloatArray = field(repr=False)
    ford_s: float
    start: Int32Array = field(repr=False)
    filed: Int32Array = field(repr=False)

    def near(self, grid: Grid, reach: int) -> NDArray[np.bool_]:
        """Cells from which a step of ``reach`` cells may meet a stream."""
        held = (np.diff(self.start) > 0).reshape(grid.shape)
        rows, cols = np.nonzero(held)
        close = np.zeros(grid.shape, dtype=bool)
        for i in range(-reach, reach + 1):
            for j in range(-reach, reach + 1):
                close[np.clip(rows + i, 0, grid.n_rows - 1), np.clip(cols + j, 0, grid.n_cols - 1)] = True
        return close


def build_streams(grid: Grid, lines: Iterable[Any], ford_s: float) -> Streams:
    """File stream lines by the cells they touch.

    Parameters
    ----------
    grid : the ground of the trip.
    lines : shapely lines in grid metres.
    ford_s : seconds that one ford takes [s].

    Returns
    -------
    Streams
        Pieces by cell.

    Raises
    ------
    InputError
        If something else than lines is among them.
    """
    short = [shapely.segmentize(line, grid.cell_m) for line in lines_of(grid, lines, "streams")]
    ends = [cell_units(grid, shapely.get_coordinates(line)) for line in short]
    pieces = np.vstack([np.zeros((0, 4)), *[np.hstack([e[:-1], e[1:]]) for e in ends]])
    low = np.minimum(pieces[:, :2], pieces[:, 2:])
    high = np.maximum(pieces[:, :2], pieces[:, 2:])
    first = np.floor(low + 0.5 - EDGE).astype(np.int64)
    last = np.floor(high + 0.5 + EDGE).astype(np.int64)
    cells, owners = [], []
    for i in range(3):  # a piece is at most one cell long, so it spans at most three rows and columns with its edges
        for j in range(3):
            at = first + np.array([i, j])
            inside = np.all((at <= last) & (at >= 0) & (at < grid.shape), axis=1)
            cells.append(at[inside, 0] * grid.n_cols + at[inside, 1])
            owners.append(np.flatnonzero(inside))
    cell, owner = np.concatenate(cells), np.concatenate(owners)
    order = np.lexsort((owner, cell))
    start = np.searchsorted(cell[order], np.arange(grid.n_cells + 1)).astype(np.int32)
    return Streams(pieces, float(ford_s), start, owner[order].astype(np.int32))


@njit(cache=True, nogil=True)
def count_fords(  # noqa: C901  # pragma: no cover  compiled
    r0: float,
    c0: float,
    r1: float,
    c1: float,
    n_rows: int,
    n_cols: int,
    pieces: FloatArray,
    start: Int32Array,
    filed: Int32Array,
) -> int:
    """Count the fords of a straight step between two points in cell units.

    Crossings less than two cells apart are one ford: a bend that is cut twice is waded once. Both the step and the
    piece own their first end and not their last, so a crossing at a joint counts once.

    Parameters
    ----------
    r0 : row of the first point in cells.
    c0 : column of the first point in cells.
    r1 : row of the second point in cells.
    c1 : column of the second point in cells.
    n_rows : rows of the grid.
    n_cols : columns of the grid.
    pieces : shape (n, 4), pieces of streams in cells.
    start : shape (cells + 1,), where the pieces of each cell begin.
    filed : shape (k,), pieces by cell.

    Returns
    -------
    int
        How many.
    """
    length = np.hypot(r1 - r0, c1 - c0)
    if length == 0.0 or len(pieces) == 0:
        return 0
    found = np.empty(MOST_FORDS)
    n = 0
    for r in range(int(np.floor(min(r0, r1) + 0.5 - EDGE)), int(np.floor(max(r0, r1) + 0.5 + EDGE)) + 1):
        low, high = c0, c1
        if abs(r1 - r0) > EDGE:  # columns of the step inside this row of cells
            t0 = min(max((r - 0.5 - EDGE - r0) / (r1 - r0), 0.0), 1.0)
            t1 = min(max((r + 0.5 + EDGE - r0) / (r1 - r0), 0.0), 1.0)
            low, high = c0 + t0 * (c1 - c0), c0 + t1 * (c1 - c0)
        for c in range(int(np.floor(min(low, high) + 0.5 - EDGE)), int(np.floor(max(low, high) + 0.5 + EDGE)) + 1):
            if r < 0 or r >= n_rows or c < 0 or c >= n_cols:
                continue
            for k in range(start[r * n_cols + c], start[r * n_cols + c + 1]):
                p = pieces[filed[k]]
                side_a = (r1 - r0) * (p[1] - c0) - (c1 - c0) * (p[0] - r0)
                side_b = (r1 - r0) * (p[3] - c0) - (c1 - c0) * (p[2] - r0)
                if (side_a >= 0.0) == (side_b >= 0.0):
                    continue
                along = side_a / (side_a - side_b)
                row, col = p[0] + along * (p[2] - p[0]), p[1] + along * (p[3] - p[1])
                t = ((row - r0) * (r1 - r0) + (col - c0) * (c1 - c0)) / length**2
                if t >= 0.0 and t < 1.0 and n < MOST_FORDS:
                    found[n] = t
                    n += 1
    if n == 0:
        return 0
    places = np.sort(found[:n])
    fords = 1
    for k in range(1, n):
        if (places[k] - places[k - 1]) * length > 2.0:  # noqa: PLR2004
            fords += 1
    return fords
