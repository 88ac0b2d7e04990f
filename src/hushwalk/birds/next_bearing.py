"""How much a bearing from a place shrinks the ground to search, and which places are best.

stands_on_foot.py finds the places that are reached on foot; seconds arrive as an array.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from hushwalk.birds.fix import Fix
from hushwalk.birds.loudness import NODES, heard_table, log_over_loudness
from hushwalk.birds.posterior import EarshotParams, chance_to_hear, displayed_share, split_stops
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_density
from hushwalk.science.crossing import azimuth_to, turned
from hushwalk.types import FloatArray, IntArray

CELLS_MAX = 5000  # judgement: cells of some 20 m, fine enough for an area within a tenth
FAINT = 1e-3  # judgement: cells a thousand times less likely than the best do not change a mean area
HARDLY = 1e-5  # judgement: cells so much less likely than the best add nothing to a chance of a few per cent
ERRORS, ERROR_WEIGHTS = np.polynomial.hermite_e.hermegauss(3)


@dataclass(frozen=True)
class StandParams:
    """What a good place is.

    Parameters
    ----------
    stand_off_m : never nearer to a bird than this [m].
    stand_off_chance_max : chance that a bird is nearer all the same.
    share : the ground to be shrunk holds the bird with this chance.
    places : sample places of the bird for the mean.
    cells_max : most cells that the ground of the bird is parted into.
    minutes : listened there [min].
    sd_deg : error of the further bearing [deg].
    earshot : how hearing weighs in.
    """

    stand_off_m: float = figure("stand", "stand_off_m")
    stand_off_chance_max: float = figure("stand", "stand_off_chance_max")
    share: float = figure("search", "share")
    places: int = int(figure("stand", "places"))
    cells_max: int = CELLS_MAX
    minutes: float = figure("stand", "minutes")
    sd_deg: float = figure("bearing", "sd_deg")
    earshot: EarshotParams = field(default_factory=EarshotParams)


@dataclass(frozen=True)
class Stand:
    """A place to take one more bearing from.

    Parameters
    ----------
    xy_m : easting and northing [m].
    travel_s : on foot from here [s].
    area_m2, area_now_m2 : ground to search after it, on average, and now [m2].
    chance_heard : that the bird is heard there in the minutes listened, 0..1.
    towards_deg : grid azimuth of the bird's median place [deg].
    crossing_deg : angle at which the new line crosses the nearest old one, there [deg].
    distance_m : to the median place [m].
    """

    xy_m: tuple[float, float]
    travel_s: float
    area_m2: float
    area_now_m2: float
    chance_heard: float
    towards_deg: float
    crossing_deg: float
    distance_m: float


def next_stands(
    fix: Fix,
    candidates_m: FloatArray,
    travel_s: FloatArray,
    *,
    others: Sequence[Fix] = (),
    params: StandParams | None = None,
    clear: "ClearOfBirds | None" = None,
) -> tuple[Stand, ...]:
    """Rank places for one more bearing by the ground left to search.

    Parameters
    ----------
    fix : of the bird, as known now.
    candidates_m : shape (n, 2) places that may be stood on [m].
    travel_s : shape (n,) on foot from here, infinite or NaN where it cannot be reached in time [s].
    others : fixes of other birds, which are kept clear of too.
    params : stand-off, share, minutes.
    clear : which places are far enough from all these birds, where it was asked before; None to find out.

    Returns
    -------
    tuple of Stand
        Best first; empty if no place is reachable, far enough from every bird and within earshot, or if none helps.

    Raises
    ------
    InputError
        If the shapes do not fit.

    Notes
    -----
    Mean over places x of the bird and errors e (three-point Gauss-Hermite) of the area that then holds the bird with
    the chance ``share``, weighed with the chance to hear it there; silence shrinks the ground as well.
    """
    params = params or StandParams()
    candidates, seconds = np.asarray(candidates_m, dtype=float).reshape(-1, 2), np.asarray(travel_s, dtype=float)
    if len(candidates) != seconds.size:
        raise InputError(f"{len(candidates)} places and {seconds.size} travel times do not fit together")
    known = _known(fix, params)
    clear = clear or ClearOfBirds((fix, *others), params)
    free = [i for i in np.flatnonzero(np.isfinite(seconds)) if clear(candidates[i])]
    found = [_stand(known, candidates[i], float(seconds[i]), params) for i in free]
    now = known.area_now_m2
    return tuple(sorted((s for s in found if s.area_m2 < now), key=lambda s: (s.area_m2, s.travel_s)))


class ClearOfBirds:
    """Which places are far enough from every bird: where birds may be is laid out once, a place is looked at once."""

    def __init__(self, fixes: Sequence[Fix], params: StandParams) -> None:
        self.birds = [(fix, possible_places(fix.chance)) for fix in fixes]
        self.params = params
        self.known: dict[tuple[float, float], bool] = {}

    def __call__(self, place: FloatArray) -> bool:
        """Whether a place, shape (2,) [m], is far enough from every bird."""
        key = (float(place[0]), float(place[1]))
        if key not in self.known:
            self.known[key] = clear_of_birds(place, self.birds, self.params)
        return self.known[key]


def clear_of_birds(place: FloatArray, birds: Sequence[tuple[Fix, FloatArray]], params: StandParams) -> bool:
    """Whether a place is far enough from every bird.

    Parameters
    ----------
    place : shape (2,) [m].
    birds : each bird with the chance of each cell of its grid, as of :func:`possible_places`.
    params : stand-off.

    Returns
    -------
    bool
    """
    if any(np.hypot(*(np.asarray(fix.median_m) - place)) < params.stand_off_m for fix, _ in birds):
        return False
    for fix, chance in birds:
        likely, weight = _near(place, fix.chance.grid, chance, params.stand_off_m)
        if not len(weight):
            continue
        if weight.sum() > params.stand_off_chance_max or fix.grounds[0].holds(likely).any():
            return False
    return True


def possible_places(chance: Layer) -> FloatArray:
    """Chance of each cell, shape of the grid, with 0 where a bird is hardly at all."""
    values = np.nan_to_num(chance.values)
    return np.asarray(np.where(values > values.max() * HARDLY, values, 0.0))


def _near(place: FloatArray, grid: Grid, chance: FloatArray, within_m: float) -> tuple[FloatArray, FloatArray]:
    """Places nearer than so far where a bird may be, shape (n, 2) [m], and the chance of each."""
    (row, col), reach = grid.rowcol(place), int(within_m // grid.cell_m) + 2
    top, left = max(int(row) - reach, 0), max(int(col) - reach, 0)
    around = chance[top : max(int(row) + reach + 1, 0), left : max(int(col) + reach + 1, 0)]
    if not around.any():
        return np.empty((0, 2)), np.empty(0)
    rows, cols = np.nonzero(around)
    likely = grid.xy(rows + top, cols + left)
    near = np.hypot(*(likely - place).T) < within_m
    return likely[near], around[rows[near], cols[near]]


def _thinned(chance: Layer, cells_max: int) -> tuple[FloatArray, FloatArray, float]:
    # Whole blocks of cells are summed until few are left: the mean area needs shape, not detail.
    values, grid = np.nan_to_num(chance.values), chance.grid
    factor = 1
    while (values > values.max() * FAINT).sum() > cells_max:
        factor *= 2
        rows, cols = (-(-n // 2) * 2 for n in values.shape)
        padded = np.pad(values, ((0, rows - values.shape[0]), (0, cols - values.shape[1])))
        values = padded.reshape(rows // 2, 2, cols // 2, 2).sum(axis=(1, 3))
    coarse = grid.coarsened(factor)
    rows_kept, cols_kept = np.nonzero(values > values.max() * FAINT)
    weight = values[rows_kept, cols_kept]
    return coarse.xy(rows_kept, cols_kept), weight / weight.sum(), coarse.cell_m**2


def _area(weights: FloatArray, share: float) -> FloatArray:
    # Number of cells, with a part of the last one so that the mean does not move in steps.
    ordered = np.sort(weights, axis=1)[:, ::-1]
    summed = np.cumsum(ordered, axis=1) / ordered.sum(axis=1, keepdims=True)
    count = (summed < share).sum(axis=1)
    before = np.where(count > 0, np.take_along_axis(summed, np.maximum(count - 1, 0)[:, None], 1)[:, 0], 0.0)
    at = np.take_along_axis(summed, count[:, None].clip(max=summed.shape[1] - 1), 1)[:, 0]
    return np.asarray(count + (share - before) / np.maximum(at - before, 1e-12), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class _Known:
    """What is the same for every stand: the bird, where it may be now, and how it was heard."""

    fix: Fix
    places: FloatArray
    weight: FloatArray
    cell_m2: float
    area_now_m2: float
    heard: FloatArray
    picked: IntArray


def _known(fix: Fix, params: StandParams) -> _Known:
    places, weight, cell_m2 = _thinned(fix.chance, params.cells_max)
    steps = (np.arange(params.places) + 0.5) / params.places
    stops, _ = split_stops(fix.bearings, ())
    heard = np.ones((len(places), len(NODES)))
    for stop in stops:
        chance = chance_to_hear(stop, places, None, params.earshot)
        heard *= heard_table(chance, params.earshot.shared_loudness)
    return _Known(
        fix,
        places,
        weight,
        cell_m2,
        float(_area(weight[None, :], params.share)[0] * cell_m2),
        heard,
        np.searchsorted(np.cumsum(weight), steps).clip(max=len(weight) - 1),
    )


def _stand(known: _Known, place: FloatArray, seconds: float, params: StandParams) -> Stand:
    earshot, weight, picked = params.earshot, known.weight, known.picked
    hear = _hear(known, place, params)
    azimuth = azimuth_to(place, known.places)
    read = (azimuth[picked, None] + ERRORS * params.sd_deg).ravel()
    aimed = von_mises_density(read[:, None] - azimuth[None, :], kappa_of_sd(params.sd_deg))
    aimed = (1 - earshot.stray_share) * aimed + earshot.stray_share / (2 * np.pi)
    after = _area(weight * aimed * hear, params.share).reshape(params.places, -1)
    heard_area = (after * ERROR_WEIGHTS / ERROR_WEIGHTS.sum()).sum(axis=1)
    silent_area = float(_area((weight * (1 - hear))[None, :], params.share)[0])
    mean = float((hear[picked] * heard_area + (1 - hear[picked]) * silent_area).mean() * known.cell_m2)
    median = np.asarray(known.fix.median_m)
    towards = float(azimuth_to(place, median))
    return Stand(
        (float(place[0]), float(place[1])),
        seconds,
        mean,
        known.area_now_m2,
        float((weight * hear).sum()),
        towards,
        _nearest_crossing(known.fix, median, towards),
        float(np.hypot(*(median - place))),
    )


def _hear(known: _Known, place: FloatArray, params: StandParams) -> FloatArray:
    # A bird that was heard already is a loud one: its chance to be heard again is higher than that of any bird.
    here = Listening("", (float(place[0]), float(place[1])), params.minutes)
    also = heard_table(chance_to_hear(here, known.places, None, params.earshot), params.earshot.shared_loudness)
    again = log_over_loudness(known.heard * also) - log_over_loudness(known.heard)
    return np.asarray(displayed_share(here, params.earshot) * np.exp(np.minimum(again, 0.0)), dtype=np.float64)


def _nearest_crossing(fix: Fix, median: FloatArray, towards: float) -> float:
    old = np.array([float(azimuth_to(np.asarray(b.xy_m), median)) for b in fix.bearings])
    between = np.abs(turned(old - towards))
    return float(np.minimum(between, 180.0 - between).min())
