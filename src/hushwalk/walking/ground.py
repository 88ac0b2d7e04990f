"""The ground as a walker meets it: heights, growth, barriers, streams and trails.

How long a walk over it takes is the business of graph.py and times.py.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from hushwalk.errors import GridMismatchError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import slope
from hushwalk.science.gait import ford_seconds
from hushwalk.types import BoolArray, FloatArray
from hushwalk.walking.streams import Streams, build_streams
from hushwalk.walking.trails import TrailNetwork, TrailParams, WaysApart, weave_trails

BARRIERS = (
    "open",
    "open water",
    "cliff",
    "closed ground",
    "height unknown",
    "the strip of a motorway",
    "ground beside houses",
    "built-up ground",
    "ground kept off because of a noted bird",
)
OPEN, WATER, CLIFF, CLOSED, UNKNOWN, MOTORWAY, HOUSES, BUILT, NOTED = range(len(BARRIERS))
BARS = {"motorway": MOTORWAY, "houses": HOUSES, "built-up": BUILT, "noted birds": NOTED}
"""What closes ground off roads and trails only, as a caller names it."""


@dataclass(frozen=True)
class GroundParams:
    """Where a walker does not go, and what a ford takes.

    Parameters
    ----------
    cliff_deg : ground steeper than this is not walked off trails [deg]; judgement: the published model closes slopes
        above 45 deg (campbell_2024_fire), and heights on a 10 m grid flatten cliffs.
    ford_s : seconds added by wading a stream [s]; None takes the published multiplier (campbell_2024_fire).
    """

    cliff_deg: float = 40.0
    ford_s: float | None = None


@dataclass(frozen=True, eq=False)
class Ground:
    """All that decides how long a walk takes, on one grid.

    Parameters
    ----------
    grid : where it lies.
    elevation_m : shape grid.shape, heights without gaps [m]; a gap holds the nearest known height and is a barrier.
    pace_factor : shape grid.shape, multiplies the time of the off-path pace; 1 is closed forest.
    barrier : shape grid.shape, index into ``BARRIERS``; 0 is open. It stops walking off trails.
    streams : stream lines to wade.
    trails : trails and roads, which cross streams and narrow water on bridges.
    wet : shape grid.shape, where feet get wet off trails.
    crossed : shape grid.shape, cells of private ways: no step off trails leads from one of them to another.
    """

    grid: Grid
    elevation_m: FloatArray = field(repr=False)
    pace_factor: FloatArray = field(repr=False)
    barrier: NDArray[np.uint8] = field(repr=False)
    streams: Streams = field(repr=False)
    trails: TrailNetwork = field(repr=False)
    wet: BoolArray = field(repr=False)
    crossed: BoolArray = field(repr=False)

    @property
    def blocked(self) -> BoolArray:
        """Cells that may not be entered off trails."""
        return np.asarray(self.barrier != OPEN)

    @property
    def on_trail(self) -> BoolArray:
        """Cells that a trail or road passes."""
        return self.trails.mask(self.grid)

    def barrier_at(self, row: int, col: int) -> str:
        """Word for what stops a walker at a cell, ``"open"`` where nothing does."""
        return BARRIERS[int(self.barrier[row, col])]


def build_ground(
    elevation: Layer,
    *,
    pace_factor: Layer | None = None,
    water: BoolArray | None = None,
    closed: BoolArray | None = None,
    bars: Mapping[str, BoolArray] | None = None,
    wet: BoolArray | None = None,
    crossed: BoolArray | None = None,
    streams: Iterable[Any] = (),
    trails: Iterable[Any] = (),
    roads: Iterable[Any] = (),
    apart: WaysApart | None = None,
    params: GroundParams | None = None,
    trail_params: TrailParams | None = None,
) -> Ground:
    """Bring together what a walker meets.

    Parameters
    ----------
    elevation : heights [m].
    pace_factor : time multiplier of the off-path pace; unknown cells count as closed forest. None: all closed forest.
    water : shape grid.shape, open water. It stays closed in winter: ice near dawn in spring carries nobody safely.
    closed : shape grid.shape, ground that may not be entered, also not on trails.
    bars : shape grid.shape each, ground that is not entered off trails and roads, by a key of ``BARS``.
    wet : shape grid.shape, where feet get wet.
    crossed : shape grid.shape, cells of ways that are crossed off trails and not followed.
    streams, trails, roads : shapely lines in grid metres.
    apart : bridges and tunnels, motorways, and ways with a bad tread.
    params : limits of slope and the ford.
    trail_params : limits of joining and bridging.

    Returns
    -------
    Ground
        On the grid of the heights.

    Raises
    ------
    GridMismatchError
        If a layer or mask lies on another grid.
    InputError
        If a pace factor is not above 0, no height is known, or a line layer holds something else.
    """
    params = params or GroundParams()
    grid = elevation.grid
    masks = {"water": _mask(grid, water, "water"), "closed": _mask(grid, closed, "closed")}
    if not elevation.known.any():
        raise InputError("layer 'elevation' holds no height on the ground of the trip; choose a file that covers it")
    barrier = np.zeros(grid.shape, dtype=np.uint8)
    barrier[slope(elevation).values > params.cliff_deg] = CLIFF
    for what, mask in (bars or {}).items():
        barrier[_mask(grid, mask, what)] = BARS[what]
    barrier[masks["water"]] = WATER
    barrier[~elevation.known] = UNKNOWN
    barrier[masks["closed"]] = CLOSED
    return Ground(
        grid=grid,
        elevation_m=_without_gaps(elevation),
        pace_factor=_factor(elevation, pace_factor),
        barrier=barrier,
        streams=build_streams(grid, streams, ford_seconds() if params.ford_s is None else params.ford_s),
        trails=weave_trails(grid, trails, roads, apart=apart, params=trail_params, **masks),
        wet=_mask(grid, wet, "wet"),
        crossed=_mask(grid, crossed, "crossed"),
    )


def _mask(grid: Grid, mask: BoolArray | None, what: str) -> BoolArray:
    if mask is None:
        return np.zeros(grid.shape, dtype=bool)
    if mask.shape != grid.shape:
        raise GridMismatchError(f"mask {what!r} has {mask.shape} cells for a grid of {grid.shape}")
    return np.asarray(mask, dtype=bool)


def _without_gaps(elevation: Layer) -> FloatArray:
    if elevation.known.all():
        return np.ascontiguousarray(elevation.values)
    nearest = ndimage.distance_transform_edt(~elevation.known, return_distances=False, return_indices=True)
    return np.ascontiguousarray(elevation.values[tuple(nearest)])


def _factor(elevation: Layer, pace_factor: Layer | None) -> FloatArray:
    if pace_factor is None:
        return np.ones(elevation.grid.shape)
    values = np.where(elevation.checked_against(pace_factor).known, pace_factor.values, 1.0)
    if not np.all(values > 0):
        row, col = np.argwhere(~(values > 0))[0]
        raise InputError(
            f"layer {pace_factor.name!r} multiplies walking time and must be above 0, got {values[row, col]} "
            f"in row {row}, column {col}"
        )
    return np.ascontiguousarray(values)
