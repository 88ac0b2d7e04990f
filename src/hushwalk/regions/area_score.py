"""One place of a wide region: how far one walks from it, and the males that a dawn walk could hear.

The same function runs in threads, in processes and on a cluster; which places there are is story.py's business.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from hushwalk.errors import InputError, PlaceError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import distance_to
from hushwalk.habitat.areas import WalkParams, best_walk, half_normal_sd
from hushwalk.site.passage import Passage, passage_of
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.settings import WalkerSettings
from hushwalk.site.surfaces import pace_over, wet_ground
from hushwalk.site.walk_network import Terrain, walk_graph
from hushwalk.types import BoolArray, FloatArray, IntArray
from hushwalk.walking.shortest_paths import walking_time_from

POSTS_MAX = 120  # judgement: as many as a morning has stops, six times over, to choose from
APART = 0.5  # judgement: stops nearer than half an earshot hear nearly the same
LEAFLESS = 0.25  # judgement: foliage factor of leafless hardwood, taken where the cover is unknown
UNREACHED = 2  # definition: a walk needs a second cell


@dataclass(frozen=True)
class PlaceParams:
    """What is the same for all places.

    Parameters
    ----------
    half_m : distance at which one display is heard half of the time, by foliage factor 0, 0.1 .. 1 [m].
    walk : budget and chances; its earshot is set by the foliage of the place.
    walker, snow : who walks over what.
    longest_walk_m : there and back [m].
    target_cells : side of the blocks that males are added up in [cells].
    """

    half_m: tuple[float, ...]
    walk: WalkParams
    walker: WalkerSettings
    snow: str
    longest_walk_m: float
    target_cells: int


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What is known round one place.

    Parameters
    ----------
    xy_m : the place [m].
    grid : its window; begins on a whole block of the region.
    held : cells by kind, as :meth:`hushwalk.site.reading.layers.Layers.read` gives them.
    density : displaying males [1/km2], NaN where unknown.
    streams : lines that reach the window.
    wetlands : areas that reach it.
    closed : areas and lines of closed ground that reach it.
    passage : where one may walk and stand.
    """

    xy_m: tuple[float, float]
    grid: Grid
    held: dict[str, NDArray[Any]] = field(repr=False)
    density: FloatArray = field(repr=False)
    streams: tuple[Any, ...] = ()
    wetlands: tuple[Any, ...] = ()
    closed: tuple[Any, ...] = ()
    passage: Passage | None = None

    @property
    def ways(self) -> Passage:
        """Where one may walk and stand; without roads, trails and houses the cover alone tells."""
        return self.passage or passage_of({}, self.held["cover"], self.grid)


@dataclass(frozen=True, eq=False)
class PlaceScore:
    """What a place is worth.

    Parameters
    ----------
    males : expected to be heard on a dawn walk.
    stops, used_min : of that walk; time is an estimate [min].
    stops_m : shape (stops, 2), where that walk would listen, in its order [m].
    walk_in_min : walking to the first of them [min].
    reach_km2 : ground from which one can be back in time.
    males_in_reach : displaying males within earshot of that ground, whether or not a walk hears them.
    closed_share : closed part of the ground round the place, 0..1.
    half_m : distance at which one display is heard half of the time here [m].
    cover : the kinds of cover that hold most of the males heard.
    blocks, heard : numbers of target blocks within the window, and males heard there.
    fault : why nobody can walk from here, or an empty text.
    """

    males: float
    stops: int
    used_min: float
    reach_km2: float
    males_in_reach: float
    closed_share: float
    half_m: float
    cover: str
    blocks: IntArray = field(repr=False)
    heard: FloatArray = field(repr=False)
    stops_m: FloatArray = field(repr=False)
    walk_in_min: float = 0.0
    fault: str = ""


def score_place(place_params: PlaceParams, near: Surroundings) -> PlaceScore:
    """Judge one place to begin from.

    Parameters
    ----------
    place_params : the same for all places.
    near : what is known round the place.

    Returns
    -------
    PlaceScore
        With a ``fault`` and no males where nobody can walk.
    """
    try:
        out_s, within = reach_of(place_params, near)
    except (PlaceError, InputError) as fault:
        return _none(str(fault))
    if np.count_nonzero(within) < UNREACHED:
        return _none("nothing can be reached on foot: water, cliffs, closed or built-up ground or houses lie all round")
    half_m = float(
        np.interp(
            _foliage(near.held["cover"], within), np.linspace(0, 1, len(place_params.half_m)), place_params.half_m
        )
    )
    params = _replaced(place_params.walk, half_normal_sd(half_m))
    grid = near.grid
    per_cell = np.nan_to_num(near.density) * grid.cell_area_km2
    sd_cells = params.earshot_sd_m / grid.cell_m
    promise = gaussian_filter(per_cell, sd_cells, mode="constant", truncate=3.0) * (2 * np.pi * sd_cells**2)
    posts = _posts(
        promise, out_s, within & ~near.ways.no_stop, params.dwell_s, max(1, round(half_m * APART / grid.cell_m))
    )
    targets, males = _targets(per_cell, place_params.target_cells)
    middles = _middles(grid, targets, place_params.target_cells)
    post_xy = grid.xy(posts // grid.n_cols, posts % grid.n_cols)
    walk = best_walk(np.array(near.xy_m), post_xy, out_s.ravel()[posts], middles, males, params)
    kept = walk.heard > 0
    audible = distance_to(within, grid) <= half_m
    return PlaceScore(
        males=walk.males,
        stops=len(walk.stops),
        used_min=walk.used_s / 60,
        reach_km2=np.count_nonzero(within) * grid.cell_area_km2,
        males_in_reach=float(per_cell[audible].sum()),
        closed_share=_closed_share(near, within),
        half_m=half_m,
        cover=_best_cover(near.held["cover"], per_cell, audible),
        blocks=targets[kept],
        heard=walk.heard[kept],
        stops_m=post_xy[walk.stops],
        walk_in_min=float(out_s.ravel()[posts[walk.stops[0]]]) / 60 if len(walk.stops) else 0.0,
    )


def reach_of(place_params: PlaceParams, near: Surroundings) -> tuple[FloatArray, BoolArray]:
    """How long it takes to walk anywhere round a place, and from where one is back in time.

    Parameters
    ----------
    place_params, near : as for :func:`score_place`.

    Returns
    -------
    tuple
        Walking time from the place, NaN beyond the limits [s], and the cells that can be reached, each with the
        shape of the window.

    Raises
    ------
    PlaceError, InputError
        If nobody can walk from there.
    """
    out_s = _walking_s(place_params, near)
    return out_s, np.nan_to_num(out_s, nan=np.inf) * 2 + place_params.walk.dwell_s <= place_params.walk.budget_s


def _none(fault: str) -> PlaceScore:
    nothing = np.empty(0)
    nowhere = np.empty((0, 2))
    return PlaceScore(0.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, "", nothing.astype(np.int64), nothing, nowhere, fault=fault)


def _replaced(walk: WalkParams, sd_m: float) -> WalkParams:
    return WalkParams(walk.budget_s, walk.dwell_s, sd_m, walk.stop_chance, walk.participation, walk.stops_max)


def _walking_s(place_params: PlaceParams, near: Surroundings) -> FloatArray:
    """Walking time from the place to every cell of the window, NaN beyond the limits [s]."""
    grid, held = near.grid, near.held
    heights = np.asarray(held["elevation"], dtype=float) if "elevation" in held else np.zeros(grid.shape)
    pace = _by_kind("pace_factor", 1.0)
    wetlands = wet_ground(near.wetlands, None, grid)
    terrain = Terrain(
        Layer("elevation", "m", grid, heights),
        Layer("pace", "1", grid, pace_over(pace[held["cover"]], wetlands, near.ways.private)),
        np.asarray(held["water"], dtype=bool),
        np.asarray(held["closed"], dtype=bool),
        wetlands,
        near.streams,
        near.ways,
        near.closed,
    )
    graph = walk_graph(place_params.walker, place_params.snow, terrain)
    seconds = walking_time_from(graph, near.xy_m, limit_s=place_params.walk.budget_s / 2).values.copy()
    seconds[graph.ground.blocked] = np.nan
    rows, cols = np.indices(grid.shape)
    far_m = np.hypot(*(grid.xy(rows.ravel(), cols.ravel()) - near.xy_m).T).reshape(grid.shape)
    seconds[far_m > place_params.longest_walk_m / 2] = np.nan
    return np.asarray(seconds)


def _by_kind(name: str, unknown: float) -> FloatArray:
    table = np.full(256, unknown)
    for code, kind in cover_kinds().items():
        value = float(getattr(kind, name))
        table[code] = value if np.isfinite(value) else unknown
    return table


def _foliage(cover: NDArray[Any], within: BoolArray) -> float:
    table = _by_kind("foliage_factor", LEAFLESS)
    table[0] = LEAFLESS
    return float(table[cover][within].mean())


def _posts(promise: FloatArray, out_s: FloatArray, within: BoolArray, dwell_s: float, block: int) -> IntArray:
    """Cells to listen at: the best of each block, half of them by promise, half by promise for the time they take."""
    rows, cols = np.nonzero(within & (promise > 0))
    order = np.argsort(-promise[rows, cols], kind="stable")
    rows, cols = rows[order], cols[order]
    _, first = np.unique((rows // block) * promise.shape[1] + cols // block, return_index=True)
    best = np.sort(first)
    quick = promise[rows[best], cols[best]] / (2 * out_s[rows[best], cols[best]] + dwell_s)
    chosen = np.union1d(best[: POSTS_MAX // 2], best[np.argsort(-quick, kind="stable")[: POSTS_MAX // 2]])
    return np.asarray(rows[chosen] * promise.shape[1] + cols[chosen], dtype=np.int64)


def _targets(per_cell: FloatArray, block: int) -> tuple[IntArray, FloatArray]:
    """Blocks that hold males, numbered row by row, and how many."""
    n_rows, n_cols = (-(-size // block) for size in per_cell.shape)
    padded = np.zeros((n_rows * block, n_cols * block))
    padded[: per_cell.shape[0], : per_cell.shape[1]] = per_cell
    males = padded.reshape(n_rows, block, n_cols, block).sum(axis=(1, 3)).ravel()
    held = np.flatnonzero(males > 0)
    return held, males[held]


def _middles(grid: Grid, targets: IntArray, block: int) -> FloatArray:
    coarse = grid.coarsened(block)
    return coarse.xy(targets // coarse.n_cols, targets % coarse.n_cols)


def _closed_share(near: Surroundings, within: BoolArray) -> float:
    rows, cols = np.nonzero(within)
    far_m = float(np.hypot(*(near.grid.xy(rows, cols) - near.xy_m).T).max())
    every = np.indices(near.grid.shape).reshape(2, -1)
    round_about = np.hypot(*(near.grid.xy(*every) - near.xy_m).T).reshape(near.grid.shape) <= far_m
    return float(np.asarray(near.held["closed"], dtype=bool)[round_about].mean())


def _best_cover(cover: NDArray[Any], per_cell: FloatArray, near: BoolArray) -> str:
    males = np.bincount(cover[near].astype(int), weights=per_cell[near], minlength=256)
    kinds = cover_kinds()
    best = [int(code) for code in np.argsort(-males)[:2] if males[code] > 0.2 * males.sum()]
    return " and ".join(kinds[code].label for code in best if code in kinds)
