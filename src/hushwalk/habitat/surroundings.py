"""What lies in the wide surroundings of each cell: means and evenness within discs, on cells no finer than they need.

Sums within a disc are grid/nearby.py's business; what is looked at is ingredients.py's.
"""

import numpy as np
from numba import njit

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import PER_UNIT, disc_total, known_mean
from hushwalk.types import FloatArray, IntArray

CELLS_A_RADIUS = 20  # judgement: a disc of 20 cells radius is round to 1 % of its area, finer costs time only
BITS = 63  # definition: of a whole number without its sign


def coarsening(radius_m: float, cell_m: float) -> int:
    """Cells that are taken as one for a disc of a radius."""
    return max(1, int(radius_m / cell_m / CELLS_A_RADIUS))


def wide_mean(layer: Layer, radius_m: float) -> FloatArray:
    """Mean within a disc, on cells no finer than the disc needs.

    Parameters
    ----------
    layer : any measure; NaN is left out.
    radius_m : of the disc [m].

    Returns
    -------
    ndarray, shape grid.shape
        NaN where the disc holds no known value.

    Notes
    -----
    Whole multiples of one part in ``PER_UNIT`` are added, so that a part of the ground that begins on a whole coarse
    cell gives the same means to the last bit.
    """
    factor = coarsening(radius_m, layer.grid.cell_m)
    known = layer.known
    whole = np.rint(np.where(known, layer.values, 0.0) * PER_UNIT).astype(np.int64)
    coarse = layer.grid.coarsened(factor)
    blocks = np.asarray(_blocks(whole, factor)), np.asarray(_blocks(known.astype(np.int64), factor))
    mean = known_mean(*blocks, radius_m, coarse, factor * factor)
    return _spread(mean, factor, layer.grid)


def evenness(groups: FloatArray, n_groups: int, radius_m: float, grid: Grid) -> FloatArray:
    """How evenly groups are mixed within a disc.

    Parameters
    ----------
    groups : shape grid.shape, number of the group of each cell, 0 .. n_groups - 1; NaN is left out.
    n_groups : two or more.
    radius_m : of the disc [m].
    grid : where they lie.

    Returns
    -------
    ndarray, shape grid.shape
        Shannon's evenness 0..1; NaN where the disc holds no group.

    Notes
    -----
    The counts of several groups are added side by side in one whole number, each in bits of its own.
    """
    factor = coarsening(radius_m, grid.cell_m)
    coarse = grid.coarsened(factor)
    widest = 2 * int(radius_m / coarse.cell_m) + 1
    bits = int(widest * factor).bit_length() * 2
    lanes = max(1, BITS // bits)
    packs = [
        disc_total(np.asarray(_packed(groups, first, lanes, bits, factor)), radius_m, coarse)
        for first in range(0, n_groups, lanes)
    ]
    most = np.arange(min(widest * factor, max(grid.shape)) ** 2 + 1, dtype=float)
    n_ln_n = most * np.log(np.maximum(most, 1.0))
    return _spread(np.asarray(_evenness(np.stack(packs), n_groups, lanes, bits, n_ln_n)), factor, grid)


@njit(cache=True, nogil=True)
def _evenness(  # pragma: no cover  compiled
    packs: IntArray, n_groups: int, lanes: int, bits: int, n_ln_n: FloatArray
) -> FloatArray:
    """Entropy of counts as ``ln T - sum(n ln n) / T``, so that logarithms are looked up."""
    _, n_rows, n_cols = packs.shape
    found = np.full((n_rows, n_cols), np.nan)
    mask = (np.int64(1) << bits) - 1
    for r in range(n_rows):
        for c in range(n_cols):
            total, taken = np.int64(0), 0.0
            for g in range(n_groups):
                count = (packs[g // lanes, r, c] >> (bits * (g % lanes))) & mask
                total += count
                taken += n_ln_n[count]
            if total > 0:
                found[r, c] = max(0.0, (n_ln_n[total] - taken) / total) / np.log(float(n_groups))
    return found


@njit(cache=True, nogil=True)
def _packed(
    groups: FloatArray, first: int, lanes: int, bits: int, factor: int
) -> IntArray:  # pragma: no cover  compiled
    """Counts of some groups in blocks of factor x factor cells, side by side in one whole number."""
    rows, cols = groups.shape
    found = np.zeros((-(-rows // factor), -(-cols // factor)), dtype=np.int64)
    for r in range(rows):
        for c in range(cols):
            if first <= groups[r, c] < first + lanes:
                found[r // factor, c // factor] += np.int64(1) << (bits * (np.int64(groups[r, c]) - first))
    return found


@njit(cache=True, nogil=True)
def _blocks(whole: IntArray, factor: int) -> IntArray:  # pragma: no cover  compiled
    """Sums of blocks of factor x factor cells, those at the edge filled up with nothing."""
    if factor == 1:
        return whole
    rows, cols = whole.shape
    found = np.zeros((-(-rows // factor), -(-cols // factor)), dtype=np.int64)
    for r in range(rows):
        for c in range(cols):
            found[r // factor, c // factor] += whole[r, c]
    return found


def _spread(values: FloatArray, factor: int, grid: Grid) -> FloatArray:
    rows, cols = grid.shape
    return np.asarray(np.repeat(np.repeat(values, factor, axis=0), factor, axis=1)[:rows, :cols])
