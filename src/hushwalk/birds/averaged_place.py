"""Where a bird may be when it is not certain which bearings are its own: the mean over all ways to share them out.

association.py draws the ways; posterior.py is for bearings that are known to be of one bird.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.association import SharingOut
from hushwalk.birds.group_likelihood import GroupLikelihood, Members
from hushwalk.birds.loudness import TINY
from hushwalk.birds.posterior import EarshotParams, centres_m, window
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import stations_m
from hushwalk.types import FloatArray, IntArray

KEPT = 0.998  # judgement: of the chance; what lies elsewhere is in no ground that is drawn
LEAST = 0.01  # judgement: rarer groups count by the coarse sum alone


def averaged_place(
    sharing: SharingOut, groups: Mapping[Members, float], grid: Grid, params: EarshotParams | None = None
) -> Layer:
    """Chance of every cell to hold the bird, as the mean over the groups that its bearings may be part of.

    Parameters
    ----------
    sharing : how bearings may be shared out.
    groups : chance by group, sums to 1.
    grid : of the trip; the layer returned lies on a finer one lined up with it.
    params : reach and cell of that finer grid.

    Returns
    -------
    Layer
        Sums to 1.

    Notes
    -----
    The mean is taken on the coarse grid of the evidence. Cells that hold nearly all of it are then parted, and the
    likelier groups worked out again in the parts.
    """
    params = params or EarshotParams()
    coarse = {group: chance_of_group(sharing.evidence, group) for group in groups}
    stations = stations_m([sharing.evidence.bearings[i] for group in groups for i in group])
    fine = window(grid, stations, params)
    places = centres_m(fine)
    of = _cells(sharing.grid, places)
    mean = sum((share * coarse[group] for group, share in groups.items()), start=np.zeros(sharing.grid.n_cells))
    kept = np.flatnonzero((of >= 0) & _likely(mean)[of])
    values = np.zeros(len(places))
    values[kept] = _fine(sharing.evidence, groups, coarse, (places[kept], of[kept], grid))
    return Layer("chance of place", "1", fine, (values / values.sum()).reshape(fine.shape))


def coarse_place(sharing: SharingOut, groups: Mapping[Members, float]) -> Layer:
    """Give the same mean on the coarse grid of the evidence, where there is no need of detail; sums to 1."""
    mean = sum(
        (share * chance_of_group(sharing.evidence, group) for group, share in groups.items()),
        start=np.zeros(sharing.grid.n_cells),
    )
    return Layer("chance of place", "1", sharing.grid, mean.reshape(sharing.grid.shape))


def chance_of_group(evidence: GroupLikelihood, group: Members) -> FloatArray:
    """Chance of every place of the evidence to hold the bird if just these bearings are its own; sums to 1."""
    near, number = evidence.by_place(group)
    chance = np.zeros(len(evidence.places))
    chance[near] = number
    return np.asarray(chance / max(number.sum(), TINY), dtype=np.float64)


def _likely(chance: FloatArray) -> NDArray[np.bool_]:
    order = np.argsort(-chance, kind="stable")
    count = int(np.searchsorted(np.cumsum(chance[order]), KEPT * chance.sum())) + 1
    likely = np.zeros(len(chance), dtype=bool)
    likely[order[:count]] = True
    return likely


def _cells(grid: Grid, places: FloatArray) -> NDArray[np.int64]:
    """Cell of the coarse grid that holds each place, -1 where none does."""
    rows, cols = grid.rowcol(places)
    return np.asarray(np.where(grid.contains(places), rows * grid.n_cols + cols, -1), dtype=np.int64)


def _fine(
    evidence: GroupLikelihood,
    groups: Mapping[Members, float],
    coarse: Mapping[Members, FloatArray],
    parted: tuple[FloatArray, IntArray, Grid],
) -> FloatArray:
    places, of, grid = parted
    parts = np.bincount(of, minlength=len(evidence.places))[of]
    close = evidence.at(places, of, grid)
    values = np.zeros(len(places))
    for group, share in groups.items():
        even = coarse[group][of] / parts
        if share >= LEAST:
            near, number = close.by_place(group)
            chance = np.zeros(len(places))
            chance[near] = number
            even = chance * (even.sum() / chance.sum()) if chance.sum() > 0 else even
        values += share * even
    return values
