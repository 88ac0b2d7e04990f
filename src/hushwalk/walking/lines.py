"""The line of a walk that a person can follow, drawn from the nodes of the quickest way.

Which way is quickest is shortest_paths.py's business.
"""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely
from numba import njit

from hushwalk.grid.polyline import segment_lengths
from hushwalk.types import BoolArray, FloatArray, IntArray
from hushwalk.walking.cost_field import Field, field_of, fords_between, height_at, step_between
from hushwalk.walking.geometry import cell_units
from hushwalk.walking.graph import WalkGraph

LONGEST_SIGHT = 80  # judgement: nodes that one straight stretch may leave out; about 1 km on a 10 m grid
BEND_S = (5.0, 1.0, 0.0)  # judgement: a bend must save this much to be worth following, tried in this order [s]
SAME_S = 1e-6  # definition: times nearer than this are equal [s]
STRAIGHT_M = 0.05  # judgement: points this near a straight line are left out [m]
WET_STEP_M = 2.0  # judgement: wet ground along the line is looked for this often [m]
CLIMB_STEP_M = 10.0  # judgement: heights along the line are read this often for the climb [m]


@dataclass(frozen=True, eq=False)
class WalkLine:
    """One walk between two places.

    Parameters
    ----------
    line_m : shape (k, 2), in walking order, on the grid [m].
    seconds : time of this very line by the graph's own measure; never above that of the unsmoothed way [s].
    graph_seconds : time of the way as the graph found it, which the table of times holds [s].
    length_m, climb_m, descent_m : of the line [m].
    on_trail_share : share of the length on trails and roads, 0..1.
    fords : streams to wade off trails.
    bridges : streams crossed on the trail.
    wet_m : through wet ground off the trail [m].
    """

    line_m: FloatArray = field(repr=False)
    seconds: float
    graph_seconds: float
    length_m: float
    climb_m: float
    descent_m: float
    on_trail_share: float
    fords: int
    bridges: int
    wet_m: float = 0.0


def draw_line(
    graph: WalkGraph,
    nodes: list[int],
    graph_seconds: float,
    start_m: FloatArray,
    end_m: FloatArray,
    chosen_on: WalkGraph | None = None,
) -> WalkLine:
    """Smooth the nodes of a way into a line.

    Parameters
    ----------
    graph : where the way was found, in the light that it is walked in.
    nodes : nodes of the way in walking order.
    graph_seconds : its time in the graph, from end to end [s].
    start_m, end_m : the places themselves, which may lie off the middle of their cells [m].
    chosen_on : the graph with some ground made dearer, where the way was chosen on one; its line keeps off that ground.

    Returns
    -------
    WalkLine
        With the seconds of ``graph``; on a way that was chosen on another graph bends may cost more than they save.

    Notes
    -----
    The string is pulled straight over the nodes by dynamic programming: every straight stretch between two nodes is
    measured as the graph measures its moves, and taken only where it touches no barrier and costs no more. Trail pieces
    cost their own time, so the line leaves a trail only where that is quicker. If a line with fewer bends would be
    slower than the way of the graph, the bends stay.
    """
    points_m = np.vstack([start_m, graph.node_xy(nodes), end_m])
    on_trail, own_s = _raw_steps(graph, nodes, points_m)
    if chosen_on is None:
        kept, trail_kept, seconds = _pulled(graph, points_m, on_trail, own_s)
    else:
        kept, trail_kept, _ = _pulled(chosen_on, points_m, on_trail, _raw_steps(chosen_on, nodes, points_m)[1])
        seconds = _seconds_of(graph, points_m, kept, own_s)
    line_m = points_m[kept]
    fords, bridges = _crossed(graph, line_m, trail_kept)
    climb_m, descent_m = _climb(graph, line_m)
    length = segment_lengths(line_m)
    total_m = float(length.sum())
    return WalkLine(
        line_m=_thinned(line_m),
        seconds=seconds,
        graph_seconds=graph_seconds,
        length_m=total_m,
        climb_m=climb_m,
        descent_m=descent_m,
        on_trail_share=float(length[trail_kept].sum() / total_m) if total_m else 0.0,
        fords=fords,
        bridges=bridges,
        wet_m=_wet_m(graph, line_m, trail_kept),
    )


def place_seconds(graph: WalkGraph, xy_m: FloatArray, node: int, *, leaving: bool) -> float:
    """Seconds between a place and the node that stands for it [s].

    Parameters
    ----------
    graph : the walk graph.
    xy_m : easting and northing [m].
    node : of the graph.
    leaving : whether the place is left or reached.

    Returns
    -------
    float
        [s].
    """
    ground = graph.ground
    ends = cell_units(ground.grid, np.vstack([xy_m, graph.node_xy([node])]))
    a, b = ends if leaving else ends[::-1]
    anywhere = field_of(ground, graph.pace, np.ones(ground.grid.shape, dtype=bool))
    return float(step_between(a, b, anywhere)) * graph.grid_scale


def _raw_steps(graph: WalkGraph, nodes: list[int], points_m: FloatArray) -> tuple[BoolArray, FloatArray]:
    """Whether each raw step runs along a trail, and its seconds; the first and last lead from and to the places."""
    on_trail = np.zeros(len(points_m) - 1, dtype=bool)
    own_s = np.zeros(len(points_m) - 1)
    own_s[0] = place_seconds(graph, points_m[0], nodes[0], leaving=True)
    own_s[-1] = place_seconds(graph, points_m[-1], nodes[-1], leaving=False)
    of_move = {int(offset): k for k, offset in enumerate(graph.offsets)}
    link_seconds = graph.link_seconds
    for k, (a, b) in enumerate(pairwise(nodes), start=1):
        if a < graph.n_cells and b < graph.n_cells:
            own_s[k] = float(graph.seconds[a, of_move[b - a]]) * graph.grid_scale
        else:
            links = range(int(graph.link_start[a]), int(graph.link_start[a + 1]))
            link = next(n for n in links if graph.link_to[n] == b)
            own_s[k], on_trail[k] = float(link_seconds[link]), bool(graph.joints.on_trail[link])
    return on_trail, own_s


def _pulled(
    graph: WalkGraph, points_m: FloatArray, on_trail: BoolArray, own_s: FloatArray
) -> tuple[IntArray, BoolArray, float]:
    """Points to keep, whether each stretch between them is a trail piece, and the seconds of the line."""
    ground = graph.ground
    entry = ~ground.blocked & graph.allowed[: graph.n_cells].reshape(ground.grid.shape)
    land = field_of(ground, graph.pace, entry)
    places = cell_units(ground.grid, points_m)
    before, seconds = _pull(places, on_trail, own_s, BEND_S[0], land, graph.grid_scale)
    for bend_s in BEND_S[1:]:
        if seconds <= own_s.sum() + SAME_S * len(own_s):
            break
        before, seconds = _pull(places, on_trail, own_s, bend_s, land, graph.grid_scale)
    kept = [len(points_m) - 1]
    while kept[-1] > 0:
        kept.append(int(before[kept[-1]]))
    chosen = np.array(kept[::-1])
    trail_kept = np.array([bool(b == a + 1 and on_trail[a]) for a, b in pairwise(chosen)])
    return chosen, trail_kept, float(seconds)


def _seconds_of(graph: WalkGraph, points_m: FloatArray, kept: IntArray, own_s: FloatArray) -> float:
    """Seconds of the line over the points that are kept, each stretch as the graph measures it."""
    land = field_of(graph.ground, graph.pace, ~graph.ground.blocked)
    places, seconds = cell_units(graph.ground.grid, points_m), 0.0
    for a, b in pairwise(kept.tolist()):
        if b == a + 1:
            seconds += float(own_s[a])
        else:
            fords_s = land.ford_s * fords_between(places[a], places[b], land)
            seconds += graph.grid_scale * (step_between(places[a], places[b], land) + fords_s)
    return seconds


@njit(cache=True, nogil=True)
def _pull(  # pragma: no cover  compiled
    places: FloatArray, on_trail: BoolArray, own_s: FloatArray, bend_s: float, land: Field, scale: float
) -> tuple[IntArray, float]:
    n = len(places)
    cost = np.full(n, np.inf)
    clock = np.zeros(n)
    before = np.full(n, -1, dtype=np.int64)
    cost[0] = 0.0
    for j in range(1, n):
        for i in range(max(0, j - LONGEST_SIGHT), j):
            step = scale * step_between(places[i], places[j], land)
            if cost[i] + step < cost[j]:  # looking for fords is dear, and useless on a stretch that lost already
                step += scale * land.ford_s * fords_between(places[i], places[j], land)
            bend = bend_s
            if i == j - 1 and (on_trail[i] or own_s[i] < step):
                step = own_s[i]
                bend = 0.0 if on_trail[i] else bend_s
            if cost[i] + step + bend < cost[j] - SAME_S / 1000:
                cost[j] = cost[i] + step + bend
                clock[j] = clock[i] + step
                before[j] = i
    return before, clock[n - 1]


def _crossed(graph: WalkGraph, line_m: FloatArray, trail: BoolArray) -> tuple[int, int]:
    """Fords off the trail and streams crossed on it."""
    land = field_of(graph.ground, graph.pace, ~graph.ground.blocked)
    crossed = np.array([fords_between(a, b, land) for a, b in pairwise(cell_units(graph.ground.grid, line_m))])
    return int(crossed[~trail].sum()), int(crossed[trail].sum())


def _wet_m(graph: WalkGraph, line_m: FloatArray, trail: BoolArray) -> float:
    """Length of the line through wet ground off the trail [m]."""
    ground, wet_m = graph.ground, 0.0
    if not ground.wet.any():
        return 0.0
    for (a, b), on_trail in zip(pairwise(line_m), trail, strict=True):
        length = float(np.hypot(*(b - a)))
        if on_trail or length == 0:
            continue
        n = max(1, round(length / WET_STEP_M))
        rows, cols = ground.grid.rowcol(a + ((np.arange(n) + 0.5) / n)[:, None] * (b - a))
        wet_m += length * float(ground.wet[rows, cols].mean())
    return wet_m


def _climb(graph: WalkGraph, line_m: FloatArray) -> tuple[float, float]:
    whole = shapely.LineString(line_m)
    points = shapely.get_coordinates(shapely.segmentize(whole, CLIMB_STEP_M) if whole.length else whole)
    places = cell_units(graph.ground.grid, points)
    rise = np.diff([height_at(graph.ground.elevation_m, r, c) for r, c in places])
    return float(rise[rise > 0].sum()), float(np.abs(rise[rise < 0]).sum())


def _thinned(line_m: FloatArray) -> FloatArray:
    whole = shapely.LineString(line_m)
    return np.asarray(shapely.get_coordinates(shapely.simplify(whole, STRAIGHT_M) if whole.length else whole))
