"""Quickest ways from one node of the walk graph to all others, by buckets of equal time.

What the edges cost is decided in graph.py.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray, Int32Array
from hushwalk.walking.graph import WalkGraph

MOST_BUCKETS = 1 << 20  # judgement: bounds the memory of the ring where one edge is millions of times the shortest


@dataclass(frozen=True, eq=False)
class Reach:
    """Times from one node to all others.

    Parameters
    ----------
    source : the node that the search started from.
    seconds : shape (n_nodes,), infinite where no way was found within the limit [s].
    came_from : shape (n_nodes,), the node before, -1 where there is none.
    """

    source: int
    seconds: FloatArray = field(repr=False)
    came_from: Int32Array = field(repr=False)

    def nodes_to(self, target: int) -> list[int]:
        """Nodes of the quickest way from the source to the target, both included; empty if there is none."""
        if not np.isfinite(self.seconds[target]):
            return []
        nodes = [target]
        while nodes[-1] != self.source:
            nodes.append(int(self.came_from[nodes[-1]]))
        return nodes[::-1]


def reach_from(graph: WalkGraph, source: int, *, limit_s: float = np.inf, targets: Int32Array | None = None) -> Reach:
    """Search the quickest ways from one node.

    Parameters
    ----------
    graph : where to walk.
    source : node to start from.
    limit_s : nothing farther than this is searched [s].
    targets : the search ends when all of these are settled; other times may then be missing or too long.

    Returns
    -------
    Reach
        Without any way if the source itself may not be entered.

    Notes
    -----
    Nodes wait in a ring of buckets, each as wide as the quickest step of the grid; a bucket is emptied, the nodes that
    fall back into it included, before the next is opened. That is exact for every positive edge.

    References
    ----------
    dial_1969
    """
    wanted = np.empty(0, dtype=np.int32) if targets is None else np.asarray(targets, dtype=np.int32)
    finite_s = min(limit_s, np.finfo(float).max)  # an infinite edge is no edge, also without a limit
    width_s = max(graph.shortest_s * graph.grid_scale, graph.longest_s / MOST_BUCKETS)
    n_buckets = int(graph.longest_s / width_s) + 2
    links = (graph.link_start, graph.link_to, graph.link_seconds)
    edges = _Edges(graph.seconds, graph.offsets, graph.grid_scale, graph.allowed, *links)
    seconds, came_from = _spread(source, edges, width_s, n_buckets, finite_s, wanted)
    return Reach(source, seconds, came_from)


class _Edges(NamedTuple):
    """The graph as plain arrays for the compiled loop."""

    seconds: NDArray[np.float32]
    offsets: NDArray[np.int64]
    grid_scale: float
    allowed: NDArray[np.bool_]
    link_start: Int32Array
    link_to: Int32Array
    link_seconds: FloatArray


@njit(cache=True, nogil=True)
def _spread(  # noqa: C901, PLR0912  # pragma: no cover  compiled; calls inside would halve its speed
    source: int, edges: _Edges, width: float, n_buckets: int, limit: float, targets: Int32Array
) -> tuple[FloatArray, Int32Array]:
    seconds, offsets, grid_scale, allowed, link_start, link_to, link_seconds = edges
    n_cells, n_moves = seconds.shape
    n_nodes = len(link_start) - 1
    dist = np.full(n_nodes, np.inf)
    came = np.full(n_nodes, -1, dtype=np.int32)
    head = np.full(n_buckets, -1, dtype=np.int32)
    before = np.full(n_nodes, -1, dtype=np.int32)
    after = np.empty(n_nodes, dtype=np.int32)
    waits = np.zeros(n_nodes, dtype=np.bool_)
    if not allowed[source]:
        return dist, came
    dist[source], head[0], after[source], waits[source] = 0.0, source, -1, True
    waiting, now, settled = 1, 0, 0
    while waiting > 0:
        u = head[now % n_buckets]
        if u < 0:
            now += 1
            while settled < len(targets) and dist[targets[settled]] < now * width:
                settled += 1
            if len(targets) > 0 and settled == len(targets):
                break
            continue
        head[now % n_buckets] = after[u]
        if after[u] >= 0:
            before[after[u]] = -1
        waits[u] = False
        waiting -= 1
        n_grid = n_moves if u < n_cells else 0
        first, last = link_start[u], link_start[u + 1]
        for k in range(n_grid + last - first):
            if k < n_grid:
                reached, v = dist[u] + seconds[u, k] * grid_scale, u + offsets[k]
            else:
                reached, v = dist[u] + link_seconds[first + k - n_grid], np.int64(link_to[first + k - n_grid])
            if not reached <= limit or reached >= dist[v] or not allowed[v]:  # past the limit v may lie off the grid
                continue
            if waits[v]:  # out of the bucket where it waited
                if before[v] >= 0:
                    after[before[v]] = after[v]
                else:
                    head[int(dist[v] / width) % n_buckets] = after[v]
                if after[v] >= 0:
                    before[after[v]] = before[v]
                waiting -= 1
            dist[v], came[v], waits[v] = reached, u, True
            slot = int(reached / width) % n_buckets
            before[v], after[v] = -1, head[slot]
            if head[slot] >= 0:
                before[head[slot]] = v
            head[slot] = v
            waiting += 1
    return dist, came


def walking_time_from(graph: WalkGraph, xy_m: tuple[float, float], *, limit_s: float = np.inf) -> Layer:
    """Map how long it takes to walk to every cell.

    Parameters
    ----------
    graph : where to walk.
    xy_m : where the walk starts [m].
    limit_s : farther cells are left out [s].

    Returns
    -------
    Layer
        ``"walking time"`` [s]; NaN where there is no way within the limit.
    """
    reach = reach_from(graph, graph.node_at(xy_m, "the start of the walk"), limit_s=limit_s)
    grid = graph.ground.grid
    seconds = reach.seconds[: grid.n_cells].reshape(grid.shape)
    known = np.where(np.isfinite(seconds), seconds, np.nan)
    return Layer("walking time", "s", grid, known, ("quickest walk by slope, growth, fords and trails",))
