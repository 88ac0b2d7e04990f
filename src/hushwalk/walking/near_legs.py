"""Legs to near posts only, and all others by way of these: a table of walking times in a fifth of the searches' time.

What a whole table holds is times.py's business.
"""

from dataclasses import replace

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.types import BoolArray, FloatArray, Int32Array
from hushwalk.walking.avoidance import summed_along
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.joints import Joints
from hushwalk.walking.shortest_paths import reach_from


def nearest(posts_m: FloatArray, count: int) -> BoolArray:
    """Which legs lead to one of the nearest posts as the crow flies, or from the first post, shape (n, n)."""
    away_m = np.hypot(*(posts_m[:, None] - posts_m[None]).transpose(2, 0, 1))
    wanted = away_m <= np.sort(away_m, axis=1)[:, [min(count, len(posts_m) - 1)]]
    wanted[0] = True
    return np.asarray(wanted)


def by_way_of(
    graph: WalkGraph,
    nodes: Int32Array,
    between_s: FloatArray,
    along: FloatArray,
    limit_s: float,
    held: tuple[FloatArray, FloatArray] | None,
) -> tuple[FloatArray, FloatArray]:
    """Search for the ways to the first post, and let legs that were not searched for lead by way of those that were.

    Parameters
    ----------
    graph : where the legs were found.
    nodes : shape (n,), of the posts.
    between_s : shape (n, n), legs that were found; infinite elsewhere [s].
    along : shape (n, n), what lies along them.
    limit_s : longer legs are none [s].
    held : places of all nodes and what lies there a metre, as avoidance.per_node gives them; None for nothing.

    Returns
    -------
    tuple of ndarray
        Seconds and what lies along, each of shape (n, n); a leg by way of others is never quicker than its own.

    Notes
    -----
    The ways to one node are those from it in the graph with every edge turned round. The rest is the closure of the
    table under the least sum (Floyd and Warshall).
    """
    back = reach_from(turned_round(graph), int(nodes[0]), limit_s=limit_s, targets=nodes)
    between_s, along = between_s.copy(), along.copy()
    between_s[:, 0] = back.seconds[nodes]
    along[:, 0] = between_s[:, 0] if held is None else summed_along(back, nodes, *held)
    for k in range(len(nodes)):
        by_k = between_s[:, [k]] + between_s[[k]]
        quicker = by_k < between_s
        between_s = np.where(quicker, by_k, between_s)
        along = np.where(quicker, along[:, [k]] + along[[k]], along)
    far = between_s > limit_s
    return np.where(far, np.inf, between_s), np.where(far, np.inf, along)


def turned_round(graph: WalkGraph) -> WalkGraph:
    """Give the graph with every edge turned round, to search for the ways to a node."""
    links, n = graph.joints, graph.moves.n_half
    opposite = (np.arange(2 * n) + n) % (2 * n)
    leave = np.repeat(np.arange(len(links.start) - 1, dtype=np.int32), np.diff(links.start))
    order = np.argsort(links.to, kind="stable")
    count = np.bincount(links.to, minlength=len(links.start) - 1)
    start = np.concatenate([[0], np.cumsum(count)]).astype(np.int32)
    joints = Joints(start, leave[order], links.seconds[order], links.on_trail[order])
    return replace(graph, seconds=_turned(graph.seconds, graph.offsets, opposite), joints=joints)


@njit(cache=True, nogil=True)
def _turned(  # pragma: no cover  compiled
    seconds: NDArray[np.float32], offsets: NDArray[np.int64], opposite: NDArray[np.int64]
) -> NDArray[np.float32]:
    turned = np.full(seconds.shape, np.float32(np.inf))
    for v in range(len(seconds)):
        for k in range(len(offsets)):
            u = v + offsets[k]
            if 0 <= u < len(seconds):  # a move that leaves the grid is infinite, also where it ends in the next row
                turned[v, k] = seconds[u, opposite[k]]
    return turned


def only_slower(dark: WalkGraph) -> bool:
    """Whether the graph in the dark is that by daylight, every edge as many times slower."""
    return bool(dark.allowed.all()) and (not len(dark.joints.to) or dark.grid_scale == dark.trail_scale)
