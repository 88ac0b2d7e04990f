"""Chooses the posts: places where a listening stop could be.

Which of them become stops is the plan's business.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.ndimage import distance_transform_edt, gaussian_filter

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import disc_mean
from hushwalk.grid.polyline import distances_along, points_along
from hushwalk.notes.figures import figure
from hushwalk.site.detectability import Detectability
from hushwalk.site.settings import TripSettings
from hushwalk.types import BoolArray, FloatArray, IntArray

PROVABLE = 1.7  # judgement: of the routing notes, measured on walks of the same size
HALF_NORMAL = 1.17741  # definition: sqrt(2 ln 2), standard deviations of a half-normal curve to its half
SPOTS = 8  # judgement: eight directions on two rings find the gap in a ridge or the far side of a brook


@dataclass(frozen=True)
class PostParams:
    """How posts are chosen.

    Parameters
    ----------
    spacing_m : least distance between two posts; the spacing that hears most per hour [m].
    earshot_sd_m : scale of the half-normal chance to hear, from the 50 % distance [m].
    stand_off_m : distance kept to ground that probably holds a log [m].
    log_chance_max : no post where the chance that a log lies within ``stand_off_m`` is higher.
    posts_max : what the proof can carry.
    trail_bonus : worth of standing on a trail: quick, quiet walking.
    """

    spacing_m: float
    earshot_sd_m: float
    stand_off_m: float
    log_chance_max: float = 0.1  # judgement: one stop in ten may still be too near, and the walker is told to back off
    posts_max: int = 96  # judgement: docs/benchmarks/proof.md, the males of 130 posts with half the work of the proof
    trail_bonus: float = 1.15  # judgement: about what a leg saves on a trail


def post_params(settings: TripSettings, detectability: Detectability) -> PostParams:
    """Spacing and scale of the posts from the earshot of this morning.

    Notes
    -----
    Posts lie 1.7 standard deviations of the half-normal chance apart, 1.44 times the 50 % distance: the routing notes
    find that walks over posts this far apart can be proven, and closer ones often cannot. The half-normal scale is the
    50 % distance over 1.17741 (distance sampling).
    """
    earshot_m = detectability.mean_earshot_m
    earshot_sd_m = earshot_m / HALF_NORMAL
    return PostParams(
        spacing_m=max(PROVABLE * earshot_sd_m, 100.0),
        earshot_sd_m=earshot_sd_m,
        stand_off_m=settings.walker.stand_off_m,
    )


def males_in_earshot(density_per_km2: Layer, earshot_sd_m: float) -> Layer:
    """Males that would be heard from each cell if each displayed once, in open level ground.

    Notes
    -----
    The sum over the ground of density times exp(-r^2 / (2 s^2)), a Gaussian filter of the density scaled by 2 pi s^2.
    It only ranks places; the chance itself is the hearing room's.
    """
    grid = density_per_km2.grid
    sd_cells = earshot_sd_m / grid.cell_m
    per_cell = np.nan_to_num(density_per_km2.values) * grid.cell_area_km2
    summed = gaussian_filter(per_cell, sd_cells, mode="constant", truncate=3.0) * (2 * np.pi * sd_cells**2)
    return density_per_km2.with_values(summed, name="males in earshot", unit="1", step="summed over open earshot")


def log_chance(density_per_km2: Layer, stand_off_m: float) -> Layer:
    """Chance that at least one log lies within the stand-off distance of each cell.

    Notes
    -----
    1 - exp(-n), n the expected males in the disc (Poisson).
    """
    area_km2 = np.pi * stand_off_m**2 / 1e6
    expected = disc_mean(np.nan_to_num(density_per_km2.values), stand_off_m, density_per_km2.grid) * area_km2
    chance = 1 - np.exp(-expected)
    return density_per_km2.with_values(chance, name="chance of a log nearby", unit="1", step="within the stand-off")


def males_a_metre(density_per_km2: Layer) -> Layer:
    """Males expected within 50 m of a metre of way that nothing was walked near before [1/m]."""
    near_m = figure("closing_in", "disturbed_m")
    near = disc_mean(np.nan_to_num(density_per_km2.values), near_m, density_per_km2.grid) * 2 * near_m / 1e6
    return density_per_km2.with_values(near, name="males passed a metre", unit="1/m", step="within 50 m of a way")


def males_passed(density_per_km2: Layer, lines_m: Sequence[FloatArray]) -> float:
    """Males expected within 50 m of a walk, each once, before one closes in on any.

    Parameters
    ----------
    density_per_km2 : displaying males.
    lines_m : each of shape (k, 2), the legs [m].
    """
    grid = density_per_km2.grid
    away = np.ones(grid.shape, bool)
    for line_m in lines_m:
        along = points_along(line_m, np.arange(0.0, distances_along(line_m)[-1] + grid.cell_m, grid.cell_m / 2))
        rows, cols = grid.rowcol(along[grid.contains(along)])
        away[rows, cols] = False
    if away.all():
        return 0.0
    near = distance_transform_edt(away) * grid.cell_m <= figure("closing_in", "disturbed_m")
    return float(np.nansum(density_per_km2.values[near])) * grid.cell_area_km2


@dataclass(frozen=True, eq=False)
class StandableGround:
    """Where one may stand, and what standing there promises.

    Parameters
    ----------
    grid : of the trip.
    allowed : shape grid.shape, cells where a post may be.
    bonus : shape grid.shape, multiplies what is heard: trails are quick and quiet.
    promise : shape grid.shape, males in open earshot times bonus, less the noise of water.
    """

    grid: Grid
    allowed: BoolArray = field(repr=False)
    bonus: FloatArray = field(repr=False)
    promise: FloatArray = field(repr=False)


def standable_ground(
    density_per_km2: Layer, within_reach: BoolArray, on_trail: BoolArray, quiet: FloatArray, params: PostParams
) -> StandableGround:
    """Tell where one may stand.

    Parameters
    ----------
    density_per_km2 : displaying males [1/km2].
    within_reach : shape grid.shape, cells from which one can be back at the car in time.
    on_trail : shape grid.shape, cells of trails and roads.
    quiet : shape grid.shape, 0..1, share of open earshot that is left over the noise of running water.
    params : see :class:`PostParams`.

    Returns
    -------
    StandableGround
        Where, and how well.
    """
    bonus = np.where(on_trail, params.trail_bonus, 1.0)
    promise = males_in_earshot(density_per_km2, params.earshot_sd_m).values * quiet * bonus
    far_enough = log_chance(density_per_km2, params.stand_off_m).values <= params.log_chance_max
    return StandableGround(density_per_km2.grid, within_reach & far_enough & (promise > 0), bonus, promise)


def choose_posts(where: StandableGround, params: PostParams) -> FloatArray:
    """Choose posts by what they promise, the best first, never two nearer than the spacing.

    Returns
    -------
    ndarray, shape (n, 2)
        Easting and northing of the posts [m], n <= params.posts_max; empty where nothing can be heard.
    """
    rows, cols = np.nonzero(where.allowed)
    order = np.argsort(-where.promise[rows, cols], kind="stable")
    kept = _thinned(rows[order], cols[order], where.grid, params)
    return where.grid.xy(rows[order][kept], cols[order][kept])


def refine_posts(
    posts_xy: FloatArray, where: StandableGround, heard: Callable[[FloatArray], FloatArray], shift_m: float
) -> FloatArray:
    """Shift each post to the best spot near it, by what is truly heard there over the real ground.

    Parameters
    ----------
    posts_xy : shape (n, 2) [m].
    where : see :class:`StandableGround`.
    heard : gives the males heard from each of some places, shape (k, 2) -> (k,).
    shift_m : no farther than this [m].

    Returns
    -------
    ndarray, shape (n, 2)
        A post stays where it is if no spot near it is better.
    """
    angle = np.arange(SPOTS) * (2 * np.pi / SPOTS)
    ring = np.stack([np.sin(angle), np.cos(angle)], axis=1)
    offsets = np.vstack([[[0.0, 0.0]], ring * shift_m / 2, ring * shift_m])
    spots = (posts_xy[:, None, :] + offsets).reshape(-1, 2)
    rows, cols = where.grid.rowcol(spots)
    inside = where.grid.contains(spots)
    rows, cols = np.where(inside, rows, 0), np.where(inside, cols, 0)
    usable = inside & where.allowed[rows, cols]
    worth = np.full(len(spots), -np.inf)
    worth[usable] = heard(spots[usable]) * where.bonus[rows, cols][usable]
    best = np.argmax(worth.reshape(len(posts_xy), -1), axis=1)
    settled: FloatArray = spots.reshape(len(posts_xy), -1, 2)[np.arange(len(posts_xy)), best]
    return settled


def _thinned(rows: IntArray, cols: IntArray, grid: Grid, params: PostParams) -> list[int]:
    """Which cells, given the best first, are kept: none within the spacing of one that was kept before."""
    reach = int(params.spacing_m / grid.cell_m) + 1
    north, east = np.ogrid[-reach : reach + 1, -reach : reach + 1]
    near = (north**2 + east**2) * grid.cell_m**2 < params.spacing_m**2
    taken = np.zeros((grid.n_rows + 2 * reach, grid.n_cols + 2 * reach), dtype=bool)  # a rim spares clipping
    kept: list[int] = []
    for k, (row, col) in enumerate(zip(rows.tolist(), cols.tolist(), strict=True)):
        if taken[row + reach, col + reach]:
            continue
        kept.append(k)
        if len(kept) == params.posts_max:
            break
        taken[row : row + 2 * reach + 1, col : col + 2 * reach + 1] |= near
    return kept
