"""Paths followed over the real ground, many at once: cover crossed, hills over, the chance left.

The same path term by term, for people to read, lives in path.py.
"""

import math

import numpy as np
from numba import njit

from hushwalk.errors import InputError
from hushwalk.grid.profile import between_cells, between_known_cells, cell_of, cell_places, pieces_of
from hushwalk.hearing.scene import Scene
from hushwalk.science.detection import normal_chance
from hushwalk.science.sound_foliage import FACTOR_STEPS, dense_metres, foliage_db_per_m
from hushwalk.science.sound_screen import edge_loss_db, find_edges, wavelength_m
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray


@njit(cache=True, nogil=True, error_model="numpy")
def _spoilt(elevation, ends, n, height):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
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
    piece, spoilt = 1.0 / n, False
    for i in range(n + 1):
        place[i] = i * step_m
        height[i] = between_cells(elevation, row + d_row * (i * piece), col + d_col * (i * piece))
        spoilt |= math.isnan(height[i])
    if spoilt:
        spoilt = _spoilt(elevation, ends, n, height)
    for i in range(n):
        half = (i + 0.5) * piece
        r, c = cell_of(row + d_row * half, col + d_col * half, n_rows, n_cols)
        step = foliage[r, c]
        spoilt |= step < 0
        crossed[max(step, 0)] += 1
    return not spoilt


@njit(cache=True, nogil=True, error_model="numpy")
def _hear(elevation, foliage, ear, rows, cols, cell_m, heights, above, but_ground, ground, leaf, waves, limits):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202, PLR0917
    """Chance for each target; NaN where the path is unknown. ``limits`` = leaf from, leaf to, sd, floor, steps."""
    n_bands, n_rings = ground.shape
    room = n_rings + 4
    place, height, line = np.empty(room), np.empty(room), np.empty(room)
    kept, edges = np.empty(room, dtype=np.int64), np.empty(7)
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


def hear_targets(scene: Scene, ear_m: FloatArray, targets_m: FloatArray, chance_floor: float = 0.0) -> FloatArray:
    """Chance to hear one display from each of many places at one stop.

    Parameters
    ----------
    scene : made ready by :func:`hushwalk.hearing.scene.make_scene`.
    ear_m : shape (2,) easting and northing of the stop [m].
    targets_m : shape (n, 2), within reach of the scene [m].
    chance_floor : smaller chances become 0.

    Returns
    -------
    ndarray, shape (n,)
        [1]; NaN where elevation or cover is unknown on the way.

    Raises
    ------
    InputError
        If elevation or cover is unknown at the stop.
    PlaceError
        If the stop lies off the grid.
    """
    grid = scene.elevation.grid
    row, col = grid.cell_at(ear_m, "a stop")
    if not np.isfinite(scene.elevation.values[row, col]) or scene.foliage[row, col] < 0:
        raise InputError(
            f"elevation or cover is unknown at the stop E {ear_m[0]:.0f} N {ear_m[1]:.0f}; "
            "give layers that cover it or leave the stop out"
        )
    ear_rows, ear_cols = cell_places(grid, ear_m)
    rows, cols = cell_places(grid, targets_m)
    leaf, bands = sound_table("foliage"), scene.call.bands
    limits = np.array([leaf["from_m"], leaf["to_m"], scene.listener.sd_db, chance_floor, FACTOR_STEPS])
    found: FloatArray = _hear(
        scene.elevation.values,
        scene.foliage,
        np.array([ear_rows[0], ear_cols[0]]),
        rows,
        cols,
        float(grid.cell_m),
        scene.heights_m,
        scene.above_need_db(ear_m),
        scene.but_ground_db,
        scene.ground_db,
        foliage_db_per_m(bands),
        wavelength_m(bands),
        limits,
    )
    return found
