"""Links of the walk graph that are no moves between cells: along trails, and on and off them.

The moves between cells are in steps.py.
"""

from dataclasses import dataclass, field

import numpy as np
from numba import njit

from hushwalk.types import BoolArray, FloatArray, Int32Array, IntArray
from hushwalk.walking.cost_field import Field, PaceTable, field_of, fords_between, height_at, pace_at, step_between
from hushwalk.walking.geometry import cell_units
from hushwalk.walking.ground import Ground


@dataclass(frozen=True, eq=False)
class Joints:
    """Directed links, sorted by the node they leave.

    Parameters
    ----------
    start : shape (n_nodes + 1,); links of node k are start[k] .. start[k + 1].
    to : shape (m,), node that the link leads to.
    seconds : shape (m,), by daylight [s].
    on_trail : shape (m,), whether the link runs along a trail or road.
    """

    start: Int32Array = field(repr=False)
    to: Int32Array = field(repr=False)
    seconds: FloatArray = field(repr=False)
    on_trail: BoolArray = field(repr=False)


def join_trails(ground: Ground, pace: PaceTable) -> Joints:
    """Link the trail nodes with one another and each with the open cell that holds it.

    Parameters
    ----------
    ground : with its trails.
    pace : how the person walks.

    Notes
    -----
    A piece of trail takes its length times the on-path pace at its own slope, without growth, fords or barriers: it
    runs on a tread, over bridges and culverts. A step on or off the trail is a straight step off it; where none leads
    past a barrier, there is no link. Nodes are kept to a centimetre, so that those on the rim of the ground are drawn
    in to it.
    """
    grid, network = ground.grid, ground.trails
    land = field_of(ground, pace, ~ground.blocked)
    places = np.clip(cell_units(grid, network.xy_m), -0.5, np.array(grid.shape) - 0.5)
    along = np.vstack([network.edges, network.edges[:, ::-1]])
    cells = np.clip(np.floor(places + 0.5), 0, np.array(grid.shape) - 1).astype(np.int64)
    joined = np.flatnonzero(~ground.blocked[cells[:, 0], cells[:, 1]])
    aside_s = _aside(places[joined], cells[joined].astype(float), land)
    trail = joined + grid.n_cells
    cell = cells[joined, 0] * grid.n_cols + cells[joined, 1]
    leave = np.concatenate([along[:, 0] + grid.n_cells, trail, cell])
    to = np.concatenate([along[:, 1] + grid.n_cells, cell, trail])
    along_s = _along(along, places, land, pace.on_path)
    if network.tread is not None:
        along_s = along_s * np.concatenate([network.tread, network.tread])
    seconds = np.concatenate([along_s, aside_s[:, 0], aside_s[:, 1]])
    order = np.argsort(leave, kind="stable")
    order = order[np.isfinite(seconds[order])]
    n_nodes = grid.n_cells + len(network.xy_m)
    start = np.searchsorted(leave[order], np.arange(n_nodes + 1)).astype(np.int32)
    return Joints(start, to[order].astype(np.int32), seconds[order], (np.arange(len(to)) < len(along))[order])


@njit(cache=True, nogil=True)
def _along(  # pragma: no cover  compiled
    pairs: IntArray, places: FloatArray, land: Field, table: FloatArray
) -> FloatArray:
    seconds = np.empty(len(pairs))
    for k in range(len(pairs)):
        a, b = places[pairs[k, 0]], places[pairs[k, 1]]
        length_m = np.hypot(a[0] - b[0], a[1] - b[1]) * land.cell_m
        rise = height_at(land.z, b[0], b[1]) - height_at(land.z, a[0], a[1])
        seconds[k] = length_m * pace_at(table, rise / length_m)
    return seconds


@njit(cache=True, nogil=True)
def _aside(  # pragma: no cover  compiled
    places: FloatArray, middles: FloatArray, land: Field
) -> FloatArray:
    """Seconds off (column 0) and on (column 1) the trail."""
    seconds = np.empty((len(places), 2))
    for k in range(len(places)):
        wade_s = land.ford_s * fords_between(places[k], middles[k], land)
        seconds[k, 0] = step_between(places[k], middles[k], land) + wade_s
        seconds[k, 1] = step_between(middles[k], places[k], land) + wade_s
    return seconds
