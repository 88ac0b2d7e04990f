"""Compiled paths over the real ground, many at once: cover crossed, hills over, the chance left.

The same path term by term, for people to read, lives in sound_budget.py.
"""

import math

import numpy as np
from numba import njit

from hushwalk.grid.profile import between_cells, between_known_cells, cell_of, pieces_of
from hushwalk.science.detection import normal_chance
from hushwalk.science.sound_foliage import dense_metres
from hushwalk.science.sound_screen import edge_loss_db, find_edges


@njit(cache=True, nogil=True, error_model="numpy")
def _still_unknown(elevation, ends, n, height):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Read the heights again beside unknown cells; True where one stays unknown."""
    row, col, d_row, d_col = ends
    for i in range(n + 1):
        height[i] = between_known_cells(elevation, row + d_row * (i / n), col + d_col * (i / n))
        if math.isnan(height[i]):
            return True
    return False


@njit(cache=True, nogil=True, error_model="numpy")
def _cross(elevation, foliage, ends, n, step_m, place, height, crossed):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Fill heights at the points and count cover between them, from the ear out; False where something is unknown."""
    row, col, d_row, d_col = ends
    n_rows, n_cols = elevation.shape
    crossed[:] = 0
    piece, unknown = 1.0 / n, False
    for i in range(n + 1):
        place[i] = i * step_m
        height[i] = between_cells(elevation, row + d_row * (i * piece), col + d_col * (i * piece))
        unknown |= math.isnan(height[i])
    if unknown:
        unknown = _still_unknown(elevation, ends, n, height)
    for i in range(n):
        half = (i + 0.5) * piece
        r, c = cell_of(row + d_row * half, col + d_col * half, n_rows, n_cols)
        step = foliage[r, c]
        unknown |= step < 0
        crossed[max(step, 0)] += 1
    return not unknown


@njit(cache=True, nogil=True, error_model="numpy")
def hear(elevation, foliage, ear, rows, cols, cell_m, heights, above, but_ground, ground, leaf, waves, limits):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201, PLR0917
    """Chance to hear one display from each target at one ear.

    Parameters
    ----------
    elevation : float64 (n_rows, n_cols), NaN where unknown [m].
    foliage : int8 (n_rows, n_cols), cover factor in steps, -1 where unknown.
    ear : float64 (2,), row and column of the ear.
    rows, cols : float64 (n,), of the targets.
    cell_m : float, size of a cell [m].
    heights : float64 (2,), ear and bird above the ground [m].
    above : float64 (n_bands,), level at 1 m above what the ear needs [dB].
    but_ground, ground : float64 (n_bands, n_rings), losses over open ground by whole metres [dB].
    leaf, waves : float64 (n_bands,), loss in dense foliage [dB/m] and wavelength [m].
    limits : float64 (5,), foliage counts from and to [m], sd [dB], chance floor, steps of the cover factor.

    Returns
    -------
    float64 (n,)
        [1]; NaN where elevation or cover is unknown on the way, 0 below the floor.
    """
    n_bands, n_rings = ground.shape
    size = n_rings + 4
    place, height, line = np.empty(size), np.empty(size), np.empty(size)
    kept, edges = np.empty(size, dtype=np.int64), np.empty(7)
    crossed = np.empty(int(limits[4]) + 1, dtype=np.int64)
    open_db = np.empty(n_bands)
    chance = np.zeros(rows.size)
    for t in range(rows.size):
        d_row, d_col = rows[t] - ear[0], cols[t] - ear[1]
        far = math.hypot(d_row, d_col) * cell_m
        ring = min(int(far), n_rings - 2)
        part = far - ring
        best = -1e9
        for b in range(n_bands):
            soil = ground[b, ring] * (1 - part) + ground[b, ring + 1] * part
            open_db[b] = above[b] - soil - (but_ground[b, ring] * (1 - part) + but_ground[b, ring + 1] * part)
            best = max(best, open_db[b])
        # cover and hills only take away, so what open level ground does not carry need not be followed
        if normal_chance(best / limits[2]) < limits[3]:
            continue
        n = pieces_of(far, cell_m)
        if not _cross(elevation, foliage, (ear[0], ear[1], d_row, d_col), n, far / n, place, height, crossed):
            chance[t] = np.nan
            continue
        dense_m = dense_metres(crossed, far / n, limits[0], limits[1])
        find_edges(place, height, n + 1, heights[0], heights[1], line, kept, edges)
        best = -1e9
        for b in range(n_bands):
            screen = 0.0
            if edges[0] > 0.0:
                screen = edges[0] * edge_loss_db(edges[1], edges[2], edges[3], edges[4], edges[5], edges[6], waves[b])
                soil = ground[b, ring] * (1 - part) + ground[b, ring + 1] * part
                screen = max(screen - max(soil, 0.0), 0.0)
            best = max(best, open_db[b] - dense_m * leaf[b] - screen)
        heard = normal_chance(best / limits[2])
        chance[t] = heard if heard >= limits[3] else 0.0
    return chance
