"""Seconds of every move between the cells of the ground.

The measure of a single step is explained in cost_field.py; what a graph does with the moves is graph.py's business.
"""

from concurrent.futures import ThreadPoolExecutor
from os import cpu_count
from typing import NamedTuple

import numpy as np
from numba import njit

from hushwalk.types import Float32Array, FloatArray, IntArray
from hushwalk.walking.cost_field import Field, fords_between, pace_at
from hushwalk.walking.ground import Ground
from hushwalk.walking.moves import Moves


class _Steps(NamedTuple):
    """The moves as plain arrays for compiled loops."""

    steps: IntArray
    touched: IntArray
    n_parts: IntArray
    knots: FloatArray
    growth: FloatArray


def step_seconds(land: Field, moves: Moves) -> tuple[Float32Array, float, float]:
    """Seconds of every move from every cell, fords not counted.

    Parameters
    ----------
    land : the ground.
    moves : the moves from a cell.

    Returns
    -------
    tuple
        Seconds of shape (n_cells, n_moves), infinite where a move is not possible; the shortest and longest finite one.
    """
    n_rows, n_cols = land.z.shape
    seconds = np.full((n_rows * n_cols, len(moves.steps)), np.inf, dtype=np.float32)
    plain = _Steps(moves.steps, moves.touched, moves.n_parts, moves.knots, moves.growth)
    n_workers = cpu_count() or 1
    bounds = np.linspace(0, n_rows, 4 * n_workers + 1).astype(int).tolist()

    def fill(band: int) -> tuple[float, float]:
        shortest, longest = _fill(bounds[band], bounds[band + 1], land, plain, seconds)
        return float(shortest), float(longest)

    with ThreadPoolExecutor(n_workers) as pool:
        spans = list(pool.map(fill, range(4 * n_workers)))
    shortest = min(low for low, _ in spans)
    return seconds, shortest if np.isfinite(shortest) else 1.0, max(high for _, high in spans)


@njit(cache=True, nogil=True)
def _fill(  # pragma: no cover  compiled; calls inside would cost a tenfold
    first: int, last: int, land: Field, moves: _Steps, seconds: Float32Array
) -> tuple[float, float]:
    cell_m, z, factor, entry, table = land.cell_m, land.z, land.factor, land.entry, land.pace
    steps, touched, n_parts, knots, growth = moves
    n_rows, n_cols = z.shape
    half = len(steps) // 2
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
                part_m = np.hypot(steps[k, 0], steps[k, 1]) * cell_m / n_parts[k]
                there, back, before = 0.0, 0.0, z[r, c]
                for p in range(n_parts[k]):
                    thick, here = 0.0, 0.0
                    for g in range(growth.shape[2]):
                        thick += growth[k, p, g, 2] * factor[r + int(growth[k, p, g, 0]), c + int(growth[k, p, g, 1])]
                    for h in range(2):
                        here += knots[k, p, h, 2] * z[r + int(knots[k, p, h, 0]), c + int(knots[k, p, h, 1])]
                    rise = (here - before) / part_m
                    there += part_m * thick * pace_at(table, rise)
                    back += part_m * thick * pace_at(table, -rise)
                    before = here
                seconds[r * n_cols + c, k] = there
                seconds[r1 * n_cols + c1, k + half] = back
                shortest = min(shortest, there, back)
                longest = max(longest, there, back)
    return shortest, longest


def add_fords(ground: Ground, land: Field, moves: Moves, seconds: Float32Array) -> float:
    """Add the fords to the moves that cross a stream, in place; return the longest such move [s].

    Parameters
    ----------
    ground : with its streams.
    land : the ground for compiled loops.
    moves : of the walker.
    seconds : shape (moves, cells), changed in place [s].

    Returns
    -------
    float
        [s].
    """
    if len(land.pieces) == 0:
        return 0.0
    near = np.flatnonzero(ground.streams.near(ground.grid, int(np.abs(moves.steps).max())))
    return float(_ford(near, moves.steps, land, seconds))


def bar_following(ground: Ground, moves: Moves, seconds: Float32Array) -> None:
    """Make every move from a cell that is only crossed to another such cell impossible, in place.

    Parameters
    ----------
    ground : with the cells of ways that are crossed and not followed.
    moves : of the walker.
    seconds : shape (n_cells, n_moves), changed in place [s].
    """
    grid = ground.grid
    rows, cols = np.nonzero(ground.crossed)
    for k, (down, right) in enumerate(moves.steps.tolist()):
        to_row, to_col = rows + down, cols + right
        inside = (to_row >= 0) & (to_row < grid.n_rows) & (to_col >= 0) & (to_col < grid.n_cols)
        along = np.zeros(len(rows), dtype=bool)
        along[inside] = ground.crossed[to_row[inside], to_col[inside]]
        seconds[rows[along] * grid.n_cols + cols[along], k] = np.inf


@njit(cache=True, nogil=True)
def _ford(  # pragma: no cover  compiled
    cells: IntArray, steps: IntArray, land: Field, seconds: Float32Array
) -> float:
    longest = 0.0
    here, there = np.empty(2), np.empty(2)
    for cell in cells:
        here[0], here[1] = cell // land.z.shape[1], cell % land.z.shape[1]
        for k in range(len(steps)):
            if seconds[cell, k] < np.inf:
                there[:] = here + steps[k]
                seconds[cell, k] += fords_between(here, there, land) * land.ford_s
                longest = max(longest, seconds[cell, k])
    return longest
