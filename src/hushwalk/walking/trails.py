"""Trails and roads as one network of short straight pieces, noded where they meet.

How the network hangs together with the open ground is graph.py's business.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.polyline import segment_lengths
from hushwalk.types import BoolArray, FloatArray, IntArray
from hushwalk.walking.geometry import lines_of

SNAP_M = 0.01  # judgement: a centimetre is far below what a trail survey knows
SHOULDER_M = 5.0  # judgement: half of a carriageway with its shoulder
FENCE_M = 1.0  # judgement: a closed line shuts a step on either side
ON_LINE_M = 0.5  # judgement: a piece this near a line is a piece of it
SAMPLES_PER_CELL = 4  # judgement: enough that no cell a trail passes is missed by more than a corner


@dataclass(frozen=True)
class TrailParams:
    """How lines become a network.

    Parameters
    ----------
    join_m : loose ends nearer than this to another line are joined to it [m]; judgement: mapping error of trails.
    trail_bridge_m : widest open water that a trail may cross [m]; judgement: beyond it the line is a winter trail on
        ice, or wrong.
    road_bridge_m : the same for roads [m]; judgement: long bridges and causeways.
    """

    join_m: float = 15.0
    trail_bridge_m: float = 60.0
    road_bridge_m: float = 400.0


@dataclass(frozen=True, eq=False)
class WaysApart:
    """What sets some ways apart from the others.

    Parameters
    ----------
    raised : walked bridges and tunnels, which meet other ways at their ends only.
    motorways : lines that no trail and no step crosses on the level.
    slow : those of the ways that have a bad tread.
    slow_factor : multiplies the time there.
    closed : closed ground as it is drawn, areas and lines, which cuts ways where they truly enter it; None to cut them
        by the cells that it touches, which cuts a street beside a parcel too.
    """

    raised: Sequence[Any] = ()
    motorways: Sequence[Any] = ()
    slow: Sequence[Any] = ()
    slow_factor: float = 1.0
    closed: Sequence[Any] | None = None


@dataclass(frozen=True, eq=False)
class TrailNetwork:
    """Nodes and the straight pieces between them.

    Parameters
    ----------
    xy_m : shape (k, 2), easting and northing of the nodes [m].
    edges : shape (m, 2), pairs of nodes, each pair once.
    cut : how many stretches were left out because they cross closed ground or wide water.
    tread : shape (m,), multiplies the time of each piece, 1 on a firm tread; None where all are firm.
    """

    xy_m: FloatArray = field(repr=False)
    edges: IntArray = field(repr=False)
    cut: int = 0
    tread: FloatArray | None = field(default=None, repr=False)

    @property
    def length_m(self) -> FloatArray:
        """Length of each piece, shape (m,) [m]."""
        ends = self.xy_m[self.edges]
        return np.asarray(np.hypot(*(ends[:, 1] - ends[:, 0]).T))

    def mask(self, grid: Grid) -> BoolArray:
        """Cells that a trail or road passes, shape grid.shape."""
        passed = np.zeros(grid.shape, dtype=bool)
        shares = ((np.arange(SAMPLES_PER_CELL) + 0.5) / SAMPLES_PER_CELL)[:, None, None]
        ends = self.xy_m[self.edges]
        points = ((1 - shares) * ends[:, 0] + shares * ends[:, 1]).reshape(-1, 2)
        rows, cols = grid.rowcol(points[grid.contains(points)])
        passed[rows, cols] = True
        return passed


def weave_trails(
    grid: Grid,
    trails: Iterable[Any],
    roads: Iterable[Any] = (),
    *,
    water: BoolArray | None = None,
    closed: BoolArray | None = None,
    apart: WaysApart | None = None,
    params: TrailParams | None = None,
) -> TrailNetwork:
    """Join trails and roads into one network.

    Parameters
    ----------
    grid : the ground of the trip.
    trails, roads : shapely lines in grid metres.
    water, closed : shape grid.shape; open water, and ground that may not be entered.
    apart : bridges and tunnels, motorways, and ways with a bad tread.
    params : limits of joining and bridging.

    Returns
    -------
    TrailNetwork
        Pieces no longer than a cell. Lines that cross without a common vertex are joined where they cross; loose ends
        are joined to the nearest other line.

    Raises
    ------
    InputError
        If something else than lines is among them.

    Notes
    -----
    A trail on a bridge crosses streams and narrow water; stretches over wide water and closed ground are cut out. A
    bridge or tunnel that is marked as one crosses any water, and meets other ways at its ends only. A trail that meets
    a motorway on the level ends there; a road that does passes over or under it, since motorways have no crossings.
    """
    params, apart = params or TrailParams(), apart or WaysApart()
    nothing = np.zeros(grid.shape, dtype=bool)
    by_cells = nothing if closed is None or apart.closed is not None else closed
    masks = (nothing if water is None else water, by_cells)
    shut = _Shut(apart.closed or ())
    kept: list[Any] = []
    cut = 0
    for what, shapes, bridge_m in (("trails", trails, params.trail_bridge_m), ("roads", roads, params.road_bridge_m)):
        open_lines, n_shut = shut.cut(_parted(lines_of(grid, shapes, what), apart, what))
        cut += n_shut
        for line in _merged(open_lines):
            pieces, n_cut = _passable(grid, line, masks, bridge_m)
            kept += pieces
            cut += n_cut
    noded = _noded(kept)
    heads = _ticks([end for line in apart.raised for end in (line.coords[0], line.coords[-1])])
    links = [link for link in _links(noded, params.join_m, heads) if not _passable(grid, link, masks, 0.0)[1]]
    noded = _noded([*noded, *(link for link in links if not (_over_motorway(link, apart) or shut.holds(link)))])
    raised, n_shut = shut.cut(lines_of(grid, apart.raised, "bridges"))
    raised, n_cut = _off_cells(grid, raised, masks[1])
    network = _network(grid, noded, raised, cut + n_cut + n_shut)
    return replace(network, tread=_treads(network, apart)) if len(apart.slow) else network


class _Shut:
    """Closed ground as it is drawn; a line of it is a fence, a step wide."""

    def __init__(self, shapes: Sequence[Any]) -> None:
        self.shapes = [shape if shape.geom_type.endswith("Polygon") else shape.buffer(FENCE_M) for shape in shapes]
        self.tree = shapely.STRtree(self.shapes)

    def holds(self, line: shapely.LineString) -> bool:
        """Whether a line enters closed ground."""
        return len(self.tree.query(line, predicate="intersects")) > 0

    def cut(self, lines: Sequence[Any]) -> tuple[list[Any], int]:
        """Cut closed ground out of lines; the parts that are left, and how many stretches were cut out."""
        kept: list[Any] = []
        n_cut = 0
        for line in lines:
            hit = self.tree.query(line, predicate="intersects")
            if not len(hit):
                kept.append(line)
                continue
            inside = shapely.union_all([self.shapes[k] for k in hit])
            left = [part for part in shapely.get_parts(shapely.difference(line, inside)) if part.length > 0]
            kept += left
            if sum(part.length for part in left) < line.length - SNAP_M:
                n_cut += max(1, len(left) - 1)
        return kept, n_cut


def _off_cells(grid: Grid, lines: Sequence[Any], closed: BoolArray) -> tuple[list[Any], int]:
    """Bridges and tunnels without what lies in closed cells; water does not end them."""
    dry = np.zeros_like(closed)
    pieces = [_passable(grid, line, (dry, closed), 0.0) for line in lines]
    return [part for parts, _ in pieces for part in parts], sum(n for _, n in pieces)


def _parted(lines: list[Any], apart: WaysApart, what: str) -> list[Any]:
    """Trails without the spots where they meet a motorway on the level."""
    if what != "trails" or not len(apart.motorways):
        return lines
    gaps = shapely.union_all([line.buffer(SHOULDER_M) for line in apart.motorways])
    left = (shapely.difference(line, gaps) for line in lines)
    return [part for line in left for part in shapely.get_parts(line) if part.length > 0]


def _over_motorway(link: shapely.LineString, apart: WaysApart) -> bool:
    return any(link.intersects(line) for line in apart.motorways)


def _treads(network: TrailNetwork, apart: WaysApart) -> FloatArray:
    """Factor of each piece: that of a bad tread where it lies on one."""
    ends = network.xy_m[network.edges]
    near = shapely.STRtree(list(apart.slow)).query(
        shapely.points(ends.mean(axis=1)), predicate="dwithin", distance=ON_LINE_M
    )
    treads = np.ones(len(network.edges))
    treads[np.unique(near[0])] = apart.slow_factor
    return treads


def _merged(lines: Sequence[Any]) -> list[Any]:
    return list(shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))) if lines else []


def _passable(
    grid: Grid, line: shapely.LineString, masks: tuple[BoolArray, BoolArray], bridge_m: float
) -> tuple[list[Any], int]:
    """Stretches of a line that may be walked, and the number of stretches left out."""
    points = shapely.get_coordinates(shapely.segmentize(line, grid.cell_m / SAMPLES_PER_CELL))
    middles = (points[1:] + points[:-1]) / 2
    rows, cols = (np.clip(k, 0, n - 1) for k, n in zip(grid.rowcol(middles), grid.shape, strict=True))
    wet, shut = (mask[rows, cols] for mask in masks)
    length = segment_lengths(points)
    run = np.cumsum(np.r_[0, np.diff(wet.astype(int)) != 0])
    walkable = ~shut & (~wet | (np.bincount(run, weights=length)[run] <= bridge_m))
    if walkable.all():
        return [line], 0
    edges = np.flatnonzero(np.diff(np.r_[False, walkable, False].astype(int)))
    stretches = [shapely.LineString(points[a : b + 1]) for a, b in edges.reshape(-1, 2)]
    return stretches, int(np.sum(np.diff(np.r_[True, walkable].astype(int)) == -1))


def _noded(lines: Sequence[Any]) -> list[Any]:
    if not lines:
        return []
    return [p for p in shapely.get_parts(shapely.unary_union(list(lines), grid_size=SNAP_M)) if p.length > 0]


def _ticks(points: Sequence[Any]) -> set[tuple[int, int]]:
    """Points to the centimetre, so that equal ones are known as such."""
    return {(round(x / SNAP_M), round(y / SNAP_M)) for x, y, *_ in points}


def _links(lines: Sequence[Any], join_m: float, heads: set[tuple[int, int]]) -> list[Any]:
    """Straight links from loose ends to the nearest other line; where a bridge or tunnel goes on is no loose end."""
    ends = [(end, number) for number, line in enumerate(lines) for end in (line.coords[0], line.coords[-1])]
    lines_at = Counter(end for end, _ in ends)
    loose = [(end, number) for end, number in ends if lines_at[end] == 1 and not _ticks([end]) & heads]
    tree = shapely.STRtree(list(lines))
    links = []
    for end, own in loose:
        point = shapely.Point(end)
        near = [k for k in tree.query(point, predicate="dwithin", distance=join_m) if k != own]
        if near:
            nearest = min(near, key=lambda k: (lines[k].distance(point), k))
            links.append(shapely.shortest_line(point, lines[nearest]))
    return [link for link in links if link.length > 0]


def _network(grid: Grid, lines: Sequence[Any], raised: Sequence[Any], cut: int) -> TrailNetwork:
    """Number the points of all lines; those within a bridge or tunnel are its own, whatever lies above or below."""
    chains = [shapely.get_coordinates(shapely.segmentize(line, grid.cell_m)) for line in (*lines, *raised)]
    if not chains:
        return TrailNetwork(np.zeros((0, 2)), np.zeros((0, 2), dtype=np.int64), cut)
    levels = [np.zeros(len(chain), dtype=np.int64) for chain in chains]
    for number, own in enumerate(levels[len(lines) :], start=1):
        own[1:-1] = number
    ticks = np.column_stack([np.round(np.vstack(chains) / SNAP_M).astype(np.int64), np.concatenate(levels)])
    unique, node = np.unique(ticks, axis=0, return_inverse=True)
    node = node.ravel()
    ends = np.cumsum([len(chain) for chain in chains])
    starts = np.setdiff1d(np.arange(len(node) - 1), ends[:-1] - 1)  # no piece from one chain to the next
    pairs = np.sort(np.stack([node[starts], node[starts + 1]], axis=1), axis=1)
    edges = np.unique(pairs[pairs[:, 0] != pairs[:, 1]], axis=0)
    return TrailNetwork(np.asarray(unique[:, :2] * SNAP_M, dtype=np.float64), edges, cut)
