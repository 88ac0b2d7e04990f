"""What many stops hear: the chance from every stop to every cell where a male may sit, as a sparse matrix.

It is computed in soundscape.py; which stops to take is the business of the planner.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.sparse import csr_array
from scipy.special import ndtr, ndtri

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.types import FloatArray, IntArray


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

    def at_gain(self, added_db: float, sd_db: float, floor: float) -> "Coverage":
        """What the posts hear where every level is so much lower.

        Parameters
        ----------
        added_db : at most 0: what was below the floor of this coverage is not known [dB].
        sd_db : spread of the listener [dB].
        floor : smaller chances count as none.

        Returns
        -------
        Coverage
            ``Phi(Phi^-1(chance) + added_db / sd_db)``, which is what following every path again would give.

        Raises
        ------
        InputError
            If the levels would be higher.
        """
        if added_db > 0:
            raise InputError(f"a coverage can be lowered, not raised; got {added_db} dB")
        lower = self.chance.copy()
        lower.data = ndtr(ndtri(lower.data) + added_db / sd_db)
        lower.data[lower.data < floor] = 0.0
        lower.eliminate_zeros()
        return replace(self, chance=lower)

    def of_posts(self, posts: Sequence[int]) -> "Coverage":
        """What some of the posts hear, in the order given; the unknown share stays that of all."""
        return replace(self, chance=self.chance[list(posts)])


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


def targets_within(xy_m: FloatArray, grid: Grid, places: FloatArray, reach_m: float) -> IntArray:
    """Flat indices of the cells whose place lies within reach of a point.

    Parameters
    ----------
    xy_m : shape (2,) easting and northing [m].
    grid : of the cells.
    places : shape (grid.n_cells, 2), as from :func:`target_places` [m].
    reach_m : [m].

    Returns
    -------
    ndarray, shape (k,)
    """
    corner = np.array([-1.0, 1.0]) * (reach_m + grid.cell_m)
    (top, bottom), (left, right) = grid.rowcol(np.array([xy_m + corner, xy_m - corner]))
    rows = np.arange(max(top, 0), min(bottom + 1, grid.n_rows))
    cols = np.arange(max(left, 0), min(right + 1, grid.n_cols))
    cells = (rows[:, np.newaxis] * grid.n_cols + cols).ravel()
    away = places[cells] - xy_m
    near: IntArray = cells[np.hypot(away[:, 0], away[:, 1]) <= reach_m]
    return near


def sparse_coverage(heard: Sequence[FloatArray], cells: Sequence[IntArray], grid: Grid) -> Coverage:
    """Put the chances of all posts into one sparse matrix.

    Parameters
    ----------
    heard : for each post the chances in its cells; NaN where the path is unknown.
    cells : for each post the flat indices of its cells.
    grid : of the cells.

    Returns
    -------
    Coverage
    """
    starts = np.concatenate([[0], np.cumsum([len(own) for own in cells])]).astype(np.int64)
    values = np.concatenate([np.zeros(0), *heard])
    flat = np.concatenate([np.zeros(0, dtype=np.int64), *cells])
    unknown = np.isnan(values)
    chance = csr_array((np.where(unknown, 0.0, values), flat, starts), shape=(len(cells), grid.n_cells))
    chance.eliminate_zeros()
    return Coverage(chance, grid, float(unknown.mean()) if len(values) else 0.0)
