"""Patches of good ground too wide to be held at once: pieces measured window by window, joined over the rims.

Patches of one trip, with fitted territories, are patches.py's business.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.grid.grid import Grid
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.patches import EIGHT
from hushwalk.types import BoolArray, IntArray

WORTH = (
    1_000_000_000  # definition: suitability is added as whole multiples of one part in this, so that order is nothing
)
CELLS, DEEP, SIDES, SUM, ROWS, COLS, NORTH, SOUTH, WEST, EAST = range(10)
"""Columns of a table of pieces: cells, cells away from the rim, cell sides on the rim, worth, sums of rows and columns,
and first and last row and column."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Pieces of good ground within one window.

    Parameters
    ----------
    row, col : first row and column of the window.
    table : shape (n, 10).
    top, bottom, left, right : number of the piece along each side of the window, counted from 1; 0 is none.
    """

    row: int
    col: int
    table: IntArray = field(repr=False)
    top: IntArray = field(repr=False)
    bottom: IntArray = field(repr=False)
    left: IntArray = field(repr=False)
    right: IntArray = field(repr=False)


@dataclass(frozen=True)
class WidePatch:
    """One patch of connected good ground; the words are those of :class:`hushwalk.habitat.patches.Patch`."""

    number: int
    area_ha: float
    core_ha: float
    rim_m: float
    shape: float
    suitability: float
    males_low: float
    males: float
    males_high: float
    centre_m: tuple[float, float]
    bounds_m: tuple[float, float, float, float]


def pieces_of(
    good: BoolArray, deep: BoolArray, worth: NDArray[np.float64], row: int, col: int, least_cells: float
) -> Pieces:
    """Measure the pieces of good ground in a window.

    Parameters
    ----------
    good : shape (n_rows + 2, n_cols + 2), good ground of the window and of one cell round it; False beyond the ground.
    deep : shape (n_rows, n_cols), cells farther from the rim than the edge of a patch.
    worth : shape (n_rows, n_cols), suitability.
    row, col : of the first cell of the window.
    least_cells : a smaller piece that touches no side of the window is left out.

    Returns
    -------
    Pieces
        With what joins them over the rims.
    """
    labels, n = ndimage.label(good[1:-1, 1:-1], structure=EIGHT)
    whole = np.rint(np.nan_to_num(worth) * WORTH).astype(np.int64)
    table = np.asarray(_tally(labels.astype(np.int32), good, deep, whole, n, row, col))
    sides = [labels[0], labels[-1], labels[:, 0], labels[:, -1]]
    keep = table[:, CELLS] >= least_cells
    for side in sides:
        keep[side[side > 0] - 1] = True
    renumbered = np.append(0, np.cumsum(keep) * keep).astype(np.int64)
    return Pieces(row, col, table[keep], *(renumbered[side] for side in sides))


@njit(cache=True, nogil=True)
def _tally(  # pragma: no cover  compiled
    labels: NDArray[np.int32], good: BoolArray, deep: BoolArray, whole: IntArray, n: int, row: int, col: int
) -> IntArray:
    table = np.zeros((n, 10), dtype=np.int64)
    table[:, 6] = table[:, 8] = np.iinfo(np.int64).max
    for r in range(labels.shape[0]):
        for c in range(labels.shape[1]):
            if labels[r, c] == 0:
                continue
            piece = table[labels[r, c] - 1]
            piece[0] += 1
            piece[1] += deep[r, c]
            for i, j in ((0, 1), (2, 1), (1, 0), (1, 2)):
                piece[2] += not good[r + i, c + j]
            piece[3] += whole[r, c]
            piece[4] += row + r
            piece[5] += col + c
            piece[6], piece[7] = min(piece[6], row + r), max(piece[7], row + r)
            piece[8], piece[9] = min(piece[8], col + c), max(piece[9], col + c)
    return table


def joined(windows: Iterable[Pieces], n_cols: int, least_cells: float = 0.0) -> IntArray:
    """Join pieces that touch over the sides and corners of windows.

    Parameters
    ----------
    windows : row by row, from the west.
    n_cols : of the whole ground.
    least_cells : smaller patches are left out.

    Returns
    -------
    ndarray, shape (n, 10)
        A table of whole patches, in the order of their first cell.
    """
    tables: list[IntArray] = []
    parent: list[int] = []
    above = np.full(n_cols + 2, -1)
    below, neighbouring = above.copy(), np.empty(0, dtype=np.int64)
    for window in windows:
        first = len(parent)
        parent.extend(range(first, first + len(window.table)))
        tables.append(window.table)
        if window.col == 0:
            above, below, neighbouring = below, np.full(n_cols + 2, -1), np.full(len(window.left), -1)
        top, left, bottom, right = (
            np.where(side > 0, side - 1 + first, -1) for side in (window.top, window.left, window.bottom, window.right)
        )
        _touch(parent, above[window.col : window.col + len(top) + 2], top)
        _touch(parent, np.pad(neighbouring, 1, constant_values=-1), left)
        below[window.col + 1 : window.col + 1 + len(bottom)] = bottom
        neighbouring = right
    if not parent:
        return np.empty((0, 10), dtype=np.int64)
    roots = np.array([_root(parent, k) for k in range(len(parent))])
    found = _summed(np.concatenate(tables), roots)
    return np.asarray(found[found[:, CELLS] >= least_cells])


def _root(parent: list[int], k: int) -> int:
    while parent[k] != k:
        parent[k] = parent[parent[k]]
        k = parent[k]
    return k


def _touch(parent: list[int], neighbours: IntArray, side: IntArray) -> None:
    """Join each piece of a side with those beside it: neighbours[k], [k + 1] and [k + 2] touch side[k]."""
    pairs = [np.stack([neighbours[k : k + len(side)], side], axis=1) for k in range(3)]
    found = np.unique(np.concatenate(pairs), axis=0)
    for a, b in found[(found >= 0).all(axis=1)].tolist():
        low, high = sorted((_root(parent, a), _root(parent, b)))
        parent[high] = low


def _summed(table: IntArray, roots: IntArray) -> IntArray:
    own, place = np.unique(roots, return_inverse=True)
    found = np.zeros((len(own), 10), dtype=np.int64)
    for column in (CELLS, DEEP, SIDES, SUM, ROWS, COLS):
        np.add.at(found[:, column], place, table[:, column])
    found[:, [NORTH, WEST]] = np.iinfo(np.int64).max
    for column in (NORTH, WEST):
        np.minimum.at(found[:, column], place, table[:, column])
    for column in (SOUTH, EAST):
        np.maximum.at(found[:, column], place, table[:, column])
    order = np.lexsort([found[:, k] for k in (COLS, ROWS, WEST, NORTH)])
    return found[order]


def wide_patches(table: IntArray, grid: Grid, males: DensityParams) -> tuple[WidePatch, ...]:
    """Turn whole tables into patches, with the most males first.

    Parameters
    ----------
    table : of :func:`joined`.
    grid : the whole ground.
    males : what the best ground holds.

    Returns
    -------
    tuple of WidePatch
        With the most males first.
    """
    kept = table[np.argsort(-table[:, SUM], kind="stable")]
    return tuple(_patch(number, row.tolist(), grid, males) for number, row in enumerate(kept, start=1))


def _patch(number: int, row: list[int], grid: Grid, males: DensityParams) -> WidePatch:
    cells = row[CELLS]
    area_ha, rim_m = cells * grid.cell_m**2 / 1e4, row[SIDES] * grid.cell_m
    held = row[SUM] / WORTH * males.middle_per_km2 * grid.cell_area_km2
    east, north = grid.xy([0], [0])[0].tolist()
    west_m, _, _, north_m = grid.bounds
    return WidePatch(
        number=number,
        area_ha=area_ha,
        core_ha=row[DEEP] * grid.cell_m**2 / 1e4,
        rim_m=rim_m,
        shape=rim_m / (4 * float(np.sqrt(area_ha * 1e4))),
        suitability=row[SUM] / WORTH / cells,
        males_low=held / males.spread,
        males=held,
        males_high=held * males.spread,
        centre_m=(east + row[COLS] / cells * grid.cell_m, north - row[ROWS] / cells * grid.cell_m),
        bounds_m=(
            west_m + row[WEST] * grid.cell_m,
            north_m - (row[SOUTH] + 1) * grid.cell_m,
            west_m + (row[EAST] + 1) * grid.cell_m,
            north_m - row[NORTH] * grid.cell_m,
        ),
    )
