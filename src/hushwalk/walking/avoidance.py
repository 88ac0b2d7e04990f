"""Ground that ways pass, and the walk graph with some ground made dearer, to choose ways on that keep off it.

Which ground that is, and how dear, is said by who asks; how long a walk takes is graph.py's.
"""

from dataclasses import replace

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.types import BoolArray, FloatArray, Int32Array
from hushwalk.walking.cost_field import field_of, pace_at
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.joints import join_trails
from hushwalk.walking.shortest_paths import Reach
from hushwalk.walking.steps import add_fords, step_seconds


def dearer_graph(graph: WalkGraph, dearer_s_per_m: FloatArray) -> WalkGraph:
    """Give the graph by daylight where each metre takes so many seconds more, on trails and off them.

    Parameters
    ----------
    graph : by daylight.
    dearer_s_per_m : shape grid.shape, 0 or more; so many on level ground, on a slope as the pace there [s/m].

    Returns
    -------
    WalkGraph
        To choose ways on, not to time them.
    """
    ground, pace, trails = graph.ground, graph.pace, graph.ground.trails
    factor = np.ascontiguousarray(ground.pace_factor + dearer_s_per_m / pace_at(pace.off_path, 0.0))
    tread = np.ones(len(trails.edges)) if trails.tread is None else trails.tread
    middles_m = trails.xy_m[trails.edges].mean(axis=1).reshape(-1, 2)
    tread = tread + _at(graph, dearer_s_per_m, middles_m) / pace_at(pace.on_path, 0.0)
    ground = replace(ground, pace_factor=factor, trails=replace(trails, tread=tread))
    land = field_of(ground, pace, ~ground.blocked)
    seconds, shortest_s, longest_s = step_seconds(land, graph.moves)
    longest_s = max(longest_s, add_fords(ground, land, graph.moves, seconds))
    joints = join_trails(ground, pace)
    longest_s = max(longest_s, float(joints.seconds.max(initial=0.0)))
    return replace(graph, ground=ground, seconds=seconds, joints=joints, shortest_s=shortest_s, longest_s=longest_s)


def per_node(graph: WalkGraph, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Place of each node, shape (n_nodes, 2) [m], and what holds there of a layer's values, shape (n_nodes,)."""
    places_m = graph.node_xy(np.arange(len(graph.allowed)))
    return places_m, _at(graph, values, places_m)


def summed_along(reach: Reach, targets: Int32Array, places_m: FloatArray, per_m: FloatArray) -> FloatArray:
    """Sum what lies along the ways that were found, shape (n,); infinite where there is none.

    Parameters
    ----------
    reach : the ways from one node.
    targets : shape (n,), nodes.
    places_m : shape (n_nodes, 2) [m].
    per_m : shape (n_nodes,), so much a metre.

    Returns
    -------
    ndarray
        In the unit of ``per_m`` times metres.
    """
    found = np.isfinite(reach.seconds)
    return np.asarray(_summed(np.asarray(targets, np.int64), reach.source, reach.came_from, found, places_m, per_m))


@njit(cache=True, nogil=True)
def _summed(  # pragma: no cover  compiled
    targets: NDArray[np.int64],
    source: int,
    came: Int32Array,
    found: BoolArray,
    places_m: FloatArray,
    per_m: FloatArray,
) -> FloatArray:
    total = np.full(len(targets), np.inf)
    for t in range(len(targets)):
        v = targets[t]
        if not found[v]:
            continue
        total[t] = 0.0
        while v != source:
            u = np.int64(came[v])
            length_m = np.hypot(places_m[u, 0] - places_m[v, 0], places_m[u, 1] - places_m[v, 1])
            total[t] += length_m * (per_m[u] + per_m[v]) / 2
            v = u
    return total


def _at(graph: WalkGraph, values: FloatArray, places_m: FloatArray) -> FloatArray:
    grid = graph.ground.grid
    rows, cols = grid.rowcol(places_m)
    return np.asarray(values[np.clip(rows, 0, grid.n_rows - 1), np.clip(cols, 0, grid.n_cols - 1)])
