"""What compiled loops read of the ground, and the seconds of one straight step through it.

The moves of the graph are filled in by steps.py with the same measure, so that a smoothed line can be held against it.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.science.gait import Gait
from hushwalk.types import BoolArray, FloatArray, Int32Array
from hushwalk.walking.ground import Ground
from hushwalk.walking.streams import count_fords

STEEPEST = 4.0  # judgement: 76 degrees; pace is held beyond it
PER_SLOPE = 2000  # judgement: the table then misses a published curve by less than 0.1 %, at its kink
TIE = 1e-6  # definition: nearer than this a step goes through a corner [share of a cell]


@dataclass(frozen=True, eq=False)
class PaceTable:
    """Seconds a metre for slopes -STEEPEST .. STEEPEST in steps of 1 / PER_SLOPE.

    Parameters
    ----------
    on_path, off_path : shape (2 STEEPEST PER_SLOPE + 1,) [s/m].
    """

    on_path: FloatArray = field(repr=False)
    off_path: FloatArray = field(repr=False)


def pace_table(gait: Gait) -> PaceTable:
    """Tabulate how a person walks."""
    n = int(STEEPEST * PER_SLOPE)
    slopes = np.arange(-n, n + 1) / PER_SLOPE
    return PaceTable(gait.on_path_seconds_per_metre(slopes), gait.off_path_seconds_per_metre(slopes))


class Field(NamedTuple):
    """The ground as plain arrays for compiled loops; the meaning is that of Ground and Streams."""

    cell_m: float
    z: FloatArray
    factor: FloatArray
    entry: BoolArray
    pace: FloatArray
    pieces: FloatArray
    start: Int32Array
    filed: Int32Array
    ford_s: float


def field_of(ground: Ground, pace: PaceTable, entry: BoolArray) -> Field:
    """Lay out the ground for compiled loops.

    Parameters
    ----------
    entry : shape grid.shape, cells that may be entered off trails.

    Returns
    -------
    Field
        Arrays for compiled loops.
    """
    streams = ground.streams
    layout = (ground.grid.cell_m, ground.elevation_m, ground.pace_factor, np.ascontiguousarray(entry), pace.off_path)
    return Field(*layout, streams.pieces, streams.start, streams.filed, streams.ford_s)


@njit(cache=True, nogil=True)
def pace_at(table: FloatArray, slope: float) -> float:  # pragma: no cover  compiled
    """Seconds a metre at one slope."""
    at = (min(max(slope, -STEEPEST), STEEPEST) + STEEPEST) * PER_SLOPE
    low = min(int(at), len(table) - 2)
    return float(table[low] + (at - low) * (table[low + 1] - table[low]))


@njit(cache=True, nogil=True)
def height_at(z: FloatArray, r: float, c: float) -> float:  # pragma: no cover  compiled
    """Height between the centres of four cells, held at the edge of the grid [m].

    Parameters
    ----------
    z : shape (n, m), heights [m].
    r : row in cells, 0 at the first centre.
    c : column in cells, 0 at the first centre.

    Returns
    -------
    float
        [m].
    """
    r = min(max(r, 0.0), z.shape[0] - 1.0)
    c = min(max(c, 0.0), z.shape[1] - 1.0)
    i, j = min(int(r), max(z.shape[0] - 2, 0)), min(int(c), max(z.shape[1] - 2, 0))
    k, m = min(i + 1, z.shape[0] - 1), min(j + 1, z.shape[1] - 1)
    u, v = r - i, c - j
    return float((1 - u) * ((1 - v) * z[i, j] + v * z[i, m]) + u * ((1 - v) * z[k, j] + v * z[k, m]))


@njit(cache=True, nogil=True)
def step_between(a: FloatArray, b: FloatArray, land: Field) -> float:  # pragma: no cover  compiled
    """Seconds of a straight step off trails from a to b in cell units, fords not counted.

    Infinite if the step touches a cell that may not be entered, also at a corner.

    Parameters
    ----------
    a : shape (2,), row and column in cells.
    b : shape (2,), row and column in cells.
    land : the ground for compiled loops.

    Returns
    -------
    float
        [s], infinite where a barrier lies between.
    """
    far = max(abs(b[0] - a[0]), abs(b[1] - a[1]))
    if far == 0.0:
        return 0.0
    n_parts = max(1, int(np.ceil(far - TIE)))
    part_m = np.hypot(b[0] - a[0], b[1] - a[1]) / n_parts * land.cell_m
    total = 0.0
    z, factor, entry, pace = land.z, land.factor, land.entry, land.pace  # taken out once: each look is counted
    here = (a[0], a[1])
    z_here = height_at(z, here[0], here[1])
    for p in range(n_parts):
        share = (p + 1) / n_parts
        there = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        growth = _growth_between(here, there, factor, entry)
        if growth == np.inf:
            return np.inf
        z_there = height_at(z, there[0], there[1])
        total += part_m * growth * pace_at(pace, (z_there - z_here) / part_m)
        here, z_here = there, z_there
    return total


@njit(cache=True, nogil=True)
def fords_between(a: FloatArray, b: FloatArray, land: Field) -> int:  # pragma: no cover  compiled
    """Fords of a straight step from a to b in cell units.

    Parameters
    ----------
    a : shape (2,), row and column in cells.
    b : shape (2,), row and column in cells.
    land : the ground for compiled loops.

    Returns
    -------
    int
        How many.
    """
    n_rows, n_cols = land.z.shape
    return int(count_fords(a[0], a[1], b[0], b[1], n_rows, n_cols, land.pieces, land.start, land.filed))


@njit(cache=True, nogil=True)
def _growth_between(  # pragma: no cover  compiled
    here: tuple[float, float], there: tuple[float, float], factor: FloatArray, entry: BoolArray
) -> float:
    """Mean pace factor under a part of a step that spans at most one cell; infinite where it may not go."""
    dr, dc = there[0] - here[0], there[1] - here[1]
    sr, sc = (1.0 if dr > 0 else -1.0), (1.0 if dc > 0 else -1.0)
    row, col = np.floor(here[0] + 0.5 + TIE * dr), np.floor(here[1] + 0.5 + TIE * dc)
    mean, t = 0.0, 0.0
    while t < 1.0:
        if _shut(row, col, entry):
            return np.inf
        t_row = 2.0 if dr == 0.0 else (row + sr / 2 - here[0]) / dr
        t_col = 2.0 if dc == 0.0 else (col + sc / 2 - here[1]) / dc
        end = max(t, min(t_row, t_col, 1.0))
        mean += (end - t) * factor[int(row), int(col)]
        t = end
        if t < 1.0:
            corner = abs(t_row - t_col) < TIE
            if corner and (_shut(row + sr, col, entry) or _shut(row, col + sc, entry)):
                return np.inf
            if t_row <= t_col or corner:
                row += sr
            if t_col < t_row or corner:
                col += sc
    return mean


@njit(cache=True, nogil=True)
def _shut(row: float, col: float, entry: BoolArray) -> bool:  # pragma: no cover  compiled
    i, j = int(row), int(col)
    if i < 0 or i >= entry.shape[0] or j < 0 or j >= entry.shape[1]:
        return True
    return not entry[i, j]
