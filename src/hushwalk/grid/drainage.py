"""Where water gathers by the lie of the land: ground that drains through each cell, and the wetness that it makes.

Streams that are mapped are the files room's business; the shape of the ground itself is terrain.py's.
"""

import heapq

import numpy as np
from numba import njit

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import gradient
from hushwalk.types import FloatArray, IntArray

SPREAD = 1.1
"""Power of the slope by which water is shared among lower neighbours (freeman_1991)."""

LEVEL = 0.001  # judgement: steepness of ground that the heights call level; less than a metre in a kilometre


def catchment(elevation: Layer) -> Layer:
    """Ground that drains through each cell, per metre of contour.

    Parameters
    ----------
    elevation : heights [m], NaN where unknown.

    Returns
    -------
    Layer
        Specific catchment area [m], the cell itself included; NaN where the height is unknown. What drains in from
        beyond the edge of the ground is not known and not counted.

    Raises
    ------
    InputError
        If no height is known.

    Notes
    -----
    Hollows are filled to their lowest way out, beginning at the edge and at unknown ground. Water leaves a cell to all
    lower neighbours in parts of their slope to the power of ``SPREAD``; on level ground, the way by which it was
    filled. Every drop leaves the ground at its edge.

    References
    ----------
    freeman_1991, barnes_2014
    """
    if not elevation.known.any():
        raise InputError("no height is known on this ground, so it cannot be told where water gathers")
    z = np.ascontiguousarray(elevation.values, dtype=float)
    filled, order, outlet = _filled(z)
    cells = _gathered(filled, order, outlet, SPREAD)
    area = np.where(elevation.known, cells * elevation.grid.cell_m, np.nan)
    return elevation.with_values(area, name="catchment", unit="m", step="water shared among all lower neighbours")


def wetness(elevation: Layer) -> Layer:
    """Topographic wetness: how much ground drains through a cell against how quickly it drains on.

    Parameters
    ----------
    elevation : heights [m], NaN where unknown.

    Returns
    -------
    Layer
        ``ln(a / tan b)`` for the specific catchment area a [m] and the steepness b; higher is wetter.

    Raises
    ------
    InputError
        As :func:`catchment`.

    References
    ----------
    beven_kirkby_1979
    """
    area = catchment(elevation)
    steep = np.maximum(np.hypot(*gradient(elevation)), LEVEL)
    return area.with_values(np.log(area.values / steep), name="wetness", unit="1", step="topographic wetness")


@njit(cache=True, nogil=True)
def _filled(z: FloatArray) -> tuple[FloatArray, IntArray, IntArray]:  # pragma: no cover  compiled
    """Heights without hollows, cells from the lowest way out upwards, and the cell by which each was reached."""
    n_rows, n_cols = z.shape
    filled = z.copy()
    seen = np.isnan(z)
    order = np.empty(z.size, dtype=np.int64)
    outlet = np.full(z.size, -1, dtype=np.int64)
    heap = [(0.0, 0, 0)]
    heap.pop()
    entries = 0
    for r in range(n_rows):
        for c in range(n_cols):
            if not np.isnan(z[r, c]) and _on_rim(z, r, c):
                heapq.heappush(heap, (z[r, c], entries, r * n_cols + c))
                entries += 1
                seen[r, c] = True
    n = 0
    while len(heap) > 0:
        height, _, cell = heapq.heappop(heap)
        order[n] = cell
        n += 1
        r, c = cell // n_cols, cell % n_cols
        for i in range(max(0, r - 1), min(n_rows, r + 2)):
            for j in range(max(0, c - 1), min(n_cols, c + 2)):
                if not seen[i, j]:
                    seen[i, j] = True
                    filled[i, j] = max(z[i, j], height)
                    outlet[i * n_cols + j] = cell
                    heapq.heappush(heap, (filled[i, j], entries, i * n_cols + j))
                    entries += 1
    return filled, order[:n], outlet


@njit(cache=True, nogil=True)
def _on_rim(z: FloatArray, r: int, c: int) -> bool:  # pragma: no cover  compiled
    n_rows, n_cols = z.shape
    if r == 0 or c == 0 or r == n_rows - 1 or c == n_cols - 1:
        return True
    for i in range(r - 1, r + 2):
        for j in range(c - 1, c + 2):
            if np.isnan(z[i, j]):
                return True
    return False


@njit(cache=True, nogil=True)
def _gathered(  # pragma: no cover  compiled
    filled: FloatArray, order: IntArray, outlet: IntArray, spread: float
) -> FloatArray:
    """Cells that drain through each cell, itself included: from the highest down, each gives to those below it."""
    n_rows, n_cols = filled.shape
    held = np.ones(filled.shape)
    for k in range(len(order) - 1, -1, -1):
        r, c = order[k] // n_cols, order[k] % n_cols
        total = 0.0
        for i in range(max(0, r - 1), min(n_rows, r + 2)):
            for j in range(max(0, c - 1), min(n_cols, c + 2)):
                if filled[i, j] < filled[r, c]:
                    total += ((filled[r, c] - filled[i, j]) / np.hypot(i - r, j - c)) ** spread
        if total > 0:
            for i in range(max(0, r - 1), min(n_rows, r + 2)):
                for j in range(max(0, c - 1), min(n_cols, c + 2)):
                    if filled[i, j] < filled[r, c]:
                        part = ((filled[r, c] - filled[i, j]) / np.hypot(i - r, j - c)) ** spread
                        held[i, j] += held[r, c] * part / total
        elif outlet[order[k]] >= 0:
            to = outlet[order[k]]
            held[to // n_cols, to % n_cols] += held[r, c]
    return held
