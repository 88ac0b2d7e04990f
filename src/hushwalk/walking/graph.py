"""The walk graph: seconds of every step between neighbouring cells, along trails, and between the two.

Searching it is shortest_paths.py's business; drawing the line of a walk is lines.py's.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.science.gait import Gait
from hushwalk.science.going import night_speed_factor
from hushwalk.types import BoolArray, FloatArray, Int32Array
from hushwalk.walking.cost_field import PaceTable, field_of, pace_table
from hushwalk.walking.ground import BARS, Ground
from hushwalk.walking.joints import Joints, join_trails
from hushwalk.walking.moves import Moves, moves_of
from hushwalk.walking.steps import add_fords, bar_following, step_seconds

YARD_M = 120.0  # judgement: a car is parked at most two or three houses from the street it came by
DEEP_NIGHT_DEG = -90.0  # definition: a sun so low that the night factor is the full one


@dataclass(frozen=True)
class GraphParams:
    """How the ground becomes a graph.

    Parameters
    ----------
    neighbours : 8, 16 or 32 moves from a cell. On even ground the length exceeds the straight line by up to 8.24,
        2.75 or 1.31 % (goodchild_1977); walking times are that much too long, never too short.
    """

    neighbours: int = 16


@dataclass(frozen=True, eq=False)
class WalkGraph:
    """A directed graph; nodes 0 .. n_cells - 1 are the cells, row by row, the rest are the nodes of the trails.

    Parameters
    ----------
    ground : what it was built on.
    pace : seconds a metre by slope, on and off trails.
    moves : the moves from a cell.
    seconds : shape (n_cells, n_moves), infinite where a move is not possible [s].
    joints : trail pieces and the steps on and off trails.
    shortest_s, longest_s : bounds of the finite edges between cells, and of all edges [s].
    allowed : shape (n_nodes,), nodes that may be entered.
    grid_scale, trail_scale : multiply the seconds off and on trails; above 1 in the dark.
    dark_factor : the person's own time in the dark over the published one.
    """

    ground: Ground
    pace: PaceTable = field(repr=False)
    moves: Moves = field(repr=False)
    seconds: NDArray[np.float32] = field(repr=False)
    joints: Joints = field(repr=False)
    shortest_s: float
    longest_s: float
    allowed: BoolArray = field(repr=False)
    grid_scale: float = 1.0
    trail_scale: float = 1.0
    dark_factor: float = 1.0

    @property
    def n_cells(self) -> int:
        """Number of nodes that are cells."""
        return self.ground.grid.n_cells

    @property
    def offsets(self) -> NDArray[np.int64]:
        """Step in node numbers of each move."""
        return np.asarray(self.moves.steps @ [self.ground.grid.n_cols, 1])

    @property
    def link_start(self) -> Int32Array:
        """Links of node k are link_start[k] .. link_start[k + 1]."""
        return self.joints.start

    @property
    def link_to(self) -> Int32Array:
        """Node that each link leads to."""
        return self.joints.to

    @property
    def link_seconds(self) -> FloatArray:
        """Seconds of each link in the light of this graph."""
        scale = np.where(self.joints.on_trail, self.trail_scale, self.grid_scale)
        return np.asarray(self.joints.seconds * scale)

    def node_xy(self, nodes: "list[int] | NDArray[np.int64]") -> FloatArray:
        """Easting and northing of nodes, shape (n, 2) [m]."""
        numbers = np.asarray(nodes, dtype=np.int64)
        grid = self.ground.grid
        cells = np.minimum(numbers, self.n_cells - 1)
        centres = grid.xy(cells // grid.n_cols, cells % grid.n_cols)
        if len(self.ground.trails.xy_m) == 0:
            return centres
        own = self.ground.trails.xy_m[np.maximum(numbers - self.n_cells, 0)]
        return np.where((numbers < self.n_cells)[:, None], centres, own)

    def node_at(self, xy_m: "tuple[float, float] | FloatArray", what: str) -> int:
        """Node to start from at a point.

        The cell that holds the point; if that is a barrier, the nearest trail node or open cell within two cells, and
        from a yard or a motorway's strip the nearest node of a road or trail within a few houses.

        Parameters
        ----------
        xy_m : easting and northing [m].
        what : how to name the point in the error.

        Raises
        ------
        PlaceError
            If the point lies off the grid or deep inside a barrier.
        """
        grid = self.ground.grid
        row, col = grid.cell_at(xy_m, what)
        blocked = self.ground.blocked
        if not blocked[row, col]:
            return row * grid.n_cols + col
        rows, cols = np.nonzero(~blocked[max(row - 2, 0) : row + 3, max(col - 2, 0) : col + 3])
        near = (rows + max(row - 2, 0)) * grid.n_cols + cols + max(col - 2, 0)
        trail = np.arange(len(self.ground.trails.xy_m)) + self.n_cells
        found = np.concatenate([near, trail])
        away_m = np.hypot(*(self.node_xy(found) - np.asarray(xy_m, dtype=float)).T)
        yard = self.ground.barrier[row, col] in BARS.values()
        if len(found) == 0 or away_m.min() > max(2 * grid.cell_m, YARD_M if yard else 0.0):
            raise PlaceError(
                f"{what} at E {xy_m[0]:.0f} N {xy_m[1]:.0f} lies in {self.ground.barrier_at(row, col)}, where nobody "
                "can walk; move it, or mend the layer that says so"
            )
        return int(found[np.argmin(away_m)])


def build_graph(ground: Ground, gait: Gait, params: GraphParams | None = None) -> WalkGraph:
    """Work out the seconds of every step by daylight.

    Parameters
    ----------
    ground : where to walk.
    gait : how the person walks.
    params : neighbourhood.

    Returns
    -------
    WalkGraph

    Notes
    -----
    A move is split in as many parts as the cells it spans along its longer axis. Each part takes
    length x mean pace factor of the cells under it x pace at its own signed slope. No move touches a barrier, not even
    at a corner. A move that crosses a stream takes the seconds of a ford more. A private way is crossed, not followed:
    no move leads from one of its cells to another.

    References
    ----------
    herzog_2013, goodchild_1977
    """
    moves = moves_of((params or GraphParams()).neighbours)
    pace = pace_table(gait)
    land = field_of(ground, pace, ~ground.blocked)
    seconds, shortest_s, longest_s = step_seconds(land, moves)
    longest_s = max(longest_s, add_fords(ground, land, moves, seconds))
    bar_following(ground, moves, seconds)
    joints = join_trails(ground, pace)
    n_nodes = ground.grid.n_cells + len(ground.trails.xy_m)
    return WalkGraph(
        ground=ground,
        pace=pace,
        moves=moves,
        seconds=seconds,
        joints=joints,
        shortest_s=shortest_s,
        longest_s=max(longest_s, float(joints.seconds.max(initial=0.0))),
        allowed=np.ones(n_nodes, dtype=bool),
    )


def in_the_dark(graph: WalkGraph, *, off_trail: bool, trailside_m: float = 30.0) -> WalkGraph:
    """Return the same ground before civil dawn.

    Parameters
    ----------
    graph : the graph by daylight.
    off_trail : whether the person leaves trails and roads in the dark.
    trailside_m : how far from a trail or road a step aside still counts as being on it [m]; judgement: a few paces by
        lamp, so that a stop or a car beside the trail can be reached.

    Returns
    -------
    WalkGraph
        Slower by the published night factors; without ``off_trail`` only trails, roads and their sides may be entered.

    Raises
    ------
    InputError
        If something does not fit, naming what.

    References
    ----------
    night_march_field_guide, fm_21_18
    """
    if trailside_m < 0:
        raise SettingsError(f"trailside_m must be 0 or more, got {trailside_m}")
    allowed = graph.allowed.copy()
    if not off_trail:
        allowed[: graph.n_cells] &= _trail_sides(graph.ground, trailside_m).ravel()
    night = {on: float(1 / night_speed_factor(DEEP_NIGHT_DEG, on_trail=on)) for on in (True, False)}
    scales = {on: max(graph.dark_factor * own, 1.0) for on, own in night.items()}  # never quicker than by day
    longer = max(scales.values())
    return replace(
        graph,
        allowed=allowed,
        grid_scale=graph.grid_scale * scales[False],
        trail_scale=graph.trail_scale * scales[True],
        longest_s=graph.longest_s * longer,
    )


def _trail_sides(ground: Ground, trailside_m: float) -> BoolArray:
    on_trail = ground.on_trail
    if not on_trail.any():
        return on_trail
    away_m = ndimage.distance_transform_edt(~on_trail) * ground.grid.cell_m
    return np.asarray(away_m <= trailside_m)
