"""Seconds of single steps: pace by slope in a table, the moves between cells, and straight steps of any length.

Both kinds of step are measured alike, so that a smoothed line can be held against the graph.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from os import cpu_count
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.grid.grid import FloatArray
from hushwalk.science.gait import Gait
from hushwalk.walking.ground import Ground
from hushwalk.walking.moves import Moves
from hushwalk.walking.streams import count_fords

STEEPEST = 4.0  # judgement: 76 degrees; pace is held beyond it
PER_SLOPE = 2000  # judgement: the table then misses a published curve by less than 0.1 %, at its kink


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


@njit(cache=True, nogil=True)
def pace_at(table: Any, slope: float) -> float:  # pragma: no cover  compiled
    """Seconds a metre at one slope."""
    at = (min(max(slope, -STEEPEST), STEEPEST) + STEEPEST) * PER_SLOPE
    low = min(int(at), len(table) - 2)
    return float(table[low] + (at - low) * (table[low + 1] - table[low]))


@njit(cache=True, nogil=True)
def step_between(  # pragma: no cover  compiled
    r0: float, c0: float, r1: float, c1: float, cell_m: float, z: Any, factor: Any, entry: Any, table: Any
) -> float:
    """Seconds of a straight step off trails between two points in cell units, fords not counted.

    Infinite if the step touches a cell that may not be entered, also at a corner; the cells that hold its two ends are
    taken as entered already.
    """
    n_parts = max(1, int(np.ceil(max(abs(r1 - r0), abs(c1 - c0)) - 1e-9)))
    part_m = np.hypot(r1 - r0, c1 - c0) / n_parts * cell_m
    if part_m == 0.0:
        return 0.0
    total = 0.0
    z_before = height_at(z, r0, c0)
    for p in range(n_parts):
        ra, ca = r0 + (r1 - r0) * p / n_parts, c0 + (c1 - c0) * p / n_parts
        rb, cb = r0 + (r1 - r0) * (p + 1) / n_parts, c0 + (c1 - c0) * (p + 1) / n_parts
        growth = _growth_between(ra, ca, rb, cb, r0, c0, r1, c1, factor, entry)
        if growth == np.inf:
            return np.inf
        z_here = height_at(z, rb, cb)
        total += part_m * growth * pace_at(table, (z_here - z_before) / part_m)
        z_before = z_here
    return total


@njit(cache=True, nogil=True)
def _growth_between(  # pragma: no cover  compiled
    ra: float, ca: float, rb: float, cb: float, r0: float, c0: float, r1: float, c1: float, factor: Any, entry: Any
) -> float:
    """Mean pace factor under a part of a step that spans at most one cell; infinite where it may not go."""
    dr, dc = rb - ra, cb - ca
    mean = 0.0
    t = 0.0
    r, c = ra, ca
    while t < 1.0:
        row, col = np.floor(r + 0.5 + 1e-9 * dr), np.floor(c + 0.5 + 1e-9 * dc)
        t_row = 2.0 if dr == 0.0 else (row + (0.5 if dr > 0 else -0.5) - ra) / dr
        t_col = 2.0 if dc == 0.0 else (col + (0.5 if dc > 0 else -0.5) - ca) / dc
        if t_row <= t + 1e-12:
            row += 1.0 if dr > 0 else -1.0
            t_row += 1.0 / abs(dr)
        if t_col <= t + 1e-12:
            col += 1.0 if dc > 0 else -1.0
            t_col += 1.0 / abs(dc)
        if _shut(row, col, r0, c0, r1, c1, entry):
            return np.inf
        end = min(t_row, t_col, 1.0)
        mean += (end - t) * factor[int(row), int(col)]
        if abs(t_row - t_col) < 1e-6 and end < 1.0 and dr != 0.0 and dc != 0.0:  # through a corner
            step_r, step_c = 1.0 if dr > 0 else -1.0, 1.0 if dc > 0 else -1.0
            if _shut(row + step_r, col, r0, c0, r1, c1, entry) or _shut(row, col + step_c, r0, c0, r1, c1, entry):
                return np.inf
        t = end
        r, c = ra + t * dr, ca + t * dc
    return mean


@njit(cache=True, nogil=True)
def _shut(  # pragma: no cover  compiled
    row: float, col: float, r0: float, c0: float, r1: float, c1: float, entry: Any
) -> bool:
    i, j = int(row), int(col)
    if i < 0 or i >= entry.shape[0] or j < 0 or j >= entry.shape[1]:
        return True
    if entry[i, j]:
        return False
    first = np.floor(r0 + 0.5) == row and np.floor(c0 + 0.5) == col
    last = np.floor(r1 + 0.5) == row and np.floor(c1 + 0.5) == col
    return not (first or last)


@njit(cache=True, nogil=True)
def height_at(z: Any, r: float, c: float) -> float:  # pragma: no cover  compiled
    """Height between the centres of four cells."""
    r = min(max(r, 0.0), z.shape[0] - 1.0)
    c = min(max(c, 0.0), z.shape[1] - 1.0)
    i, j = min(int(r), max(z.shape[0] - 2, 0)), min(int(c), max(z.shape[1] - 2, 0))
    k, m = min(i + 1, z.shape[0] - 1), min(j + 1, z.shape[1] - 1)
    u, v = r - i, c - j
    return float((1 - u) * ((1 - v) * z[i, j] + v * z[i, m]) + u * ((1 - v) * z[k, j] + v * z[k, m]))


def step_seconds(ground: Ground, pace: PaceTable, moves: Moves) -> tuple[NDArray[np.float32], float, float]:
    """Seconds of every move from every cell, fords not counted.

    Returns
    -------
    tuple
        Seconds of shape (n_cells, n_moves), infinite where a move is not possible; the shortest and longest finite one.
    """
    seconds = np.full((ground.grid.n_cells, len(moves.steps)), np.inf, dtype=np.float32)
    n_workers = cpu_count() or 1
    bounds = np.linspace(0, ground.grid.n_rows, 4 * n_workers + 1).astype(int)
    open_cells = ~ground.blocked

    def fill(rows: tuple[int, int]) -> tuple[float, float]:
        return _fill(  # type: ignore[no-any-return]
            rows[0],
            rows[1],
            ground.grid.cell_m,
            ground.elevation_m,
            ground.pace_factor,
            open_cells,
            pace.off_path,
            moves.steps,
            moves.touched,
            moves.n_parts,
            moves.knots,
            moves.growth,
            seconds,
        )

    with ThreadPoolExecutor(n_workers) as pool:
        spans = list(pool.map(fill, zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)))
    shortest = min(low for low, _ in spans)
    return seconds, shortest if np.isfinite(shortest) else 1.0, max(high for _, high in spans)


@njit(cache=True, nogil=True)
def _fill(  # pragma: no cover  compiled
    first: int,
    last: int,
    cell_m: float,
    z: Any,
    factor: Any,
    entry: Any,
    table: Any,
    steps: Any,
    touched: Any,
    n_parts: Any,
    knots: Any,
    growth: Any,
    seconds: Any,
) -> tuple[float, float]:
    n_rows, n_cols = z.shape
    half = len(steps) // 2
    part_m = np.empty(half)
    for k in range(half):
        part_m[k] = np.hypot(steps[k, 0], steps[k, 1]) * cell_m / n_parts[k]
    shortest, longest = np.inf, 0.0
    for r in range(first, last):
        for c in range(n_cols):
            if not entry[r, c]:
                continue
            for k in range(half):
                r1, c1 = r + steps[k, 0], c + steps[k, 1]
                free = r1 >= 0 and r1 < n_rows and c1 >= 0 and c1 < n_cols
                for t in range(touched.shape[1]):
                    free = free and entry[r + touched[k, t, 0], c + touched[k, t, 1]]
                if not free:
                    continue
                there, back, before = 0.0, 0.0, z[r, c]
                for p in range(n_parts[k]):
                    thick = 0.0
                    for g in range(growth.shape[2]):
                        thick += growth[k, p, g, 2] * factor[r + int(growth[k, p, g, 0]), c + int(growth[k, p, g, 1])]
                    a, b = knots[k, p, 0], knots[k, p, 1]
                    here = a[2] * z[r + int(a[0]), c + int(a[1])] + b[2] * z[r + int(b[0]), c + int(b[1])]
                    rise = (here - before) / part_m[k]
                    there += part_m[k] * thick * pace_at(table, rise)
                    back += part_m[k] * thick * pace_at(table, -rise)
                    before = here
                seconds[r * n_cols + c, k] = there
                seconds[r1 * n_cols + c1, k + half] = back
                shortest = min(shortest, there, back)
                longest = max(longest, there, back)
    return shortest, longest


def add_fords(ground: Ground, moves: Moves, seconds: NDArray[np.float32]) -> float:
    """Add the fords to the moves that cross a stream, in place; return the longest such move [s]."""
    streams, grid = ground.streams, ground.grid
    if len(streams.pieces) == 0:
        return 0.0
    near = np.flatnonzero(streams.near(grid, int(np.abs(moves.steps).max())))
    filed = (streams.pieces, streams.start, streams.filed)
    return float(_ford(near, moves.steps, grid.n_rows, grid.n_cols, *filed, streams.ford_s, seconds))


@njit(cache=True, nogil=True)
def _ford(  # pragma: no cover  compiled
    cells: Any,
    steps: Any,
    n_rows: int,
    n_cols: int,
    pieces: Any,
    start: Any,
    filed: Any,
    ford_s: float,
    seconds: Any,
) -> float:
    longest = 0.0
    for cell in cells:
        r, c = cell // n_cols, cell % n_cols
        for k in range(len(steps)):
            if seconds[cell, k] < np.inf:
                r1, c1 = r + steps[k, 0], c + steps[k, 1]
                n = count_fords(float(r), float(c), float(r1), float(c1), n_rows, n_cols, pieces, start, filed)
                seconds[cell, k] += n * ford_s
                longest = max(longest, seconds[cell, k])
    return longest
