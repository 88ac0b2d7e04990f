"""Many stops at once: the chance from every stop to every cell where a male may sit, as a sparse matrix.

One stop on the full grid lives in footprint.py; which stops to take is the business of the planner.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.footprint import FootprintParams
from hushwalk.hearing.rays import hear_targets
from hushwalk.hearing.scene import make_scene
from hushwalk.types import FloatArray

if TYPE_CHECKING:
    from hushwalk.hearing.call import Call
    from hushwalk.hearing.conditions import Conditions
    from hushwalk.hearing.listener import Listener


@dataclass(frozen=True, eq=False)
class Coverage:
    """What many stops hear.

    Parameters
    ----------
    chance : shape (n_posts, grid.n_cells), chance to hear one display made in the cell; cells row by row.
    grid : the coarser grid of the cells.
    unknown_share : share of the cells within reach whose path crosses unknown ground; they count as not heard.
    """

    chance: csr_array = field(repr=False)
    grid: Grid
    unknown_share: float


def target_places(grid: Grid, fine: Grid) -> FloatArray:
    """Middle of the part of each coarse cell that lies on the fine grid.

    Parameters
    ----------
    grid, fine : coarse and fine grid with the same north-west corner.

    Returns
    -------
    ndarray, shape (grid.n_cells, 2)
        Easting and northing, row by row [m].
    """
    _, south, east, _ = fine.bounds
    west_m = grid.west_m + np.arange(grid.n_cols) * grid.cell_m
    north_m = grid.north_m - np.arange(grid.n_rows) * grid.cell_m
    x = (west_m + np.minimum(west_m + grid.cell_m, east)) / 2
    y = (north_m + np.maximum(north_m - grid.cell_m, south)) / 2
    return np.stack([np.tile(x, grid.n_rows), np.repeat(y, grid.n_cols)], axis=-1)


def _within(xy_m: FloatArray, grid: Grid, places: FloatArray, reach_m: float) -> NDArray[np.int64]:
    """Flat indices of the cells whose place lies within reach of a point."""
    corner = np.array([-1.0, 1.0]) * (reach_m + grid.cell_m)
    (top, bottom), (left, right) = grid.rowcol(np.array([xy_m + corner, xy_m - corner]))
    rows = np.arange(max(top, 0), min(bottom + 1, grid.n_rows))
    cols = np.arange(max(left, 0), min(right + 1, grid.n_cols))
    cells = (rows[:, np.newaxis] * grid.n_cols + cols).ravel()
    away = places[cells] - xy_m
    near: NDArray[np.int64] = cells[np.hypot(away[:, 0], away[:, 1]) <= reach_m]
    return near


def coverage(
    posts_m: FloatArray,
    elevation: Layer,
    foliage: Layer | None,
    stream_noise_dba: Layer | None,
    call: "Call",
    conditions: "Conditions",
    listener: "Listener",
    params: FootprintParams | None = None,
) -> Coverage:
    """Chance to hear one display from every post to every cell within reach.

    Parameters
    ----------
    posts_m : shape (n, 2) easting and northing [m].
    elevation, foliage, stream_noise_dba, call, conditions, listener : as in
        :func:`hushwalk.hearing.scene.make_scene`.
    params : how to compute.

    Returns
    -------
    Coverage

    Raises
    ------
    InputError
        If the posts are not n pairs, or elevation or cover is unknown at one of them.
    PlaceError
        If a post lies off the grid.
    GridMismatchError
        If the layers lie on different grids.
    """
    posts = np.asarray(posts_m, dtype=float)
    if posts.ndim != 2 or posts.shape[1] != 2 or not np.all(np.isfinite(posts)):  # noqa: PLR2004
        raise InputError(f"posts are pairs of easting and northing, got an array of shape {posts.shape}")
    how, fine = params or FootprintParams(), elevation.grid
    scene = make_scene(elevation, foliage, stream_noise_dba, call, conditions, listener, how.reach_m, how.ground_factor)
    grid = fine.coarsened(max(round(how.target_cell_m / fine.cell_m), 1))
    places = target_places(grid, fine)
    near = [_within(post, grid, places, how.reach_m) for post in posts]

    def hear(at: int) -> FloatArray:
        return hear_targets(scene, posts[at], places[near[at]], how.chance_floor)

    with ThreadPoolExecutor(how.threads) as pool:
        heard = list(pool.map(hear, range(len(posts))))
    starts = np.concatenate([[0], np.cumsum([len(cells) for cells in near])]).astype(np.int64)
    values = np.concatenate([np.zeros(0), *heard])
    cells = np.concatenate([np.zeros(0, dtype=np.int64), *near])
    unknown = np.isnan(values)
    chance = csr_array((np.where(unknown, 0.0, values), cells, starts), shape=(len(posts), grid.n_cells))
    chance.eliminate_zeros()
    return Coverage(chance, grid, float(unknown.mean()) if len(values) else 0.0)
