"""Where a bird may be, cell by cell: bearings, earshot, silence, distance and habitat put together by Bayes' rule.

fix.py says when a fix gives no point.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.loudness import NODES, TINY, heard_table, log_over_loudness, silent_table
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.notes.figures import figure
from hushwalk.science.bearing_error import kappa_of_sd, von_mises_of_cosine
from hushwalk.types import FloatArray

TURN_NODES, _PLAIN_WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
TURN_WEIGHTS = _PLAIN_WEIGHTS / _PLAIN_WEIGHTS.sum()
"""Definition: a shared error in standard deviations, and the weight of each, for Gauss-Hermite quadrature."""
HALF_NORMAL = float(np.sqrt(2 * np.log(2)))  # definition: half distance over scale of a half-normal curve


@dataclass(frozen=True)
class EarshotParams:
    """How hearing and not hearing weigh in.

    Parameters
    ----------
    half_m : distance at which a display is heard half the time, where no layer says it [m].
    cap_m : no bird is looked for farther from a stop that heard it [m].
    shared_loudness : how much of the chance of hearing a bird is the same at all stops, 0..1.
    rate_per_min : displays a minute of a male that is displaying [1/min].
    minutes_unknown : taken where the minutes of a stop were not noted [min].
    stray_share : share of bearings that point anywhere.
    shared_sd_deg : error that all bearings of a morning share, such as a compass that is off; 0 for none [deg].
    stop_share : share of the variance of an error that all bearings of one stop to one bird share, 0 to below 1.
    sd_log : spread of a judged distance class [1].
    habitat_doubt : share of birds that pay no heed to the habitat layer.
    cell_m : cell of the ground searched [m].
    """

    half_m: float = figure("earshot", "half_m")
    cap_m: float = figure("earshot", "cap_m")
    shared_loudness: float = figure("earshot", "shared_loudness")
    rate_per_min: float = figure("earshot", "rate_per_min")
    minutes_unknown: float = figure("earshot", "minutes_unknown")
    stray_share: float = figure("bearing", "stray_share")
    shared_sd_deg: float = figure("bearing", "shared_sd_deg")
    stop_share: float = figure("bearing", "stop_share")
    sd_log: float = figure("distance", "sd_log")
    habitat_doubt: float = figure("earshot", "habitat_doubt")
    cell_m: float = figure("fix", "cell_m")

    def __post_init__(self) -> None:
        if not (
            min(self.half_m, self.cap_m, self.cell_m, self.sd_log) > 0
            and 0 <= self.shared_loudness < 1
            and 0 <= self.stop_share < 1
        ):
            raise InputError(
                "earshot, cell and spread must be above 0, and shared loudness and error from 0 to below 1"
            )


def window(grid: Grid, stations: FloatArray, params: EarshotParams) -> Grid:
    """Grid round the stations, fine enough, lined up with the grid of the trip.

    Parameters
    ----------
    grid : of the trip.
    stations : shape (n, 2) [m].
    params : reach and cell.

    Returns
    -------
    Grid
        Round all stations with ``cap_m`` to spare; its cell is at most ``cell_m`` and divides that of the trip.
    """
    cell = grid.cell_m / max(1, round(grid.cell_m / params.cell_m + 0.49))
    low, high = stations.min(axis=0) - params.cap_m, stations.max(axis=0) + params.cap_m
    west = grid.west_m + np.floor((low[0] - grid.west_m) / grid.cell_m) * grid.cell_m
    north = grid.north_m + np.ceil((high[1] - grid.north_m) / grid.cell_m) * grid.cell_m
    rows, cols = (int(np.ceil(span / cell)) for span in (north - low[1], high[0] - west))
    return Grid(grid.epsg, float(west), float(north), cell, rows, cols)


def centres_m(grid: Grid) -> FloatArray:
    """Centres of all cells, shape (n_cells, 2) [m], row by row."""
    rows, cols = np.divmod(np.arange(grid.n_cells), grid.n_cols)
    return grid.xy(rows, cols)


def density_at_stop(bearings: Sequence[Bearing], places: FloatArray, params: EarshotParams) -> FloatArray:
    """Density of the bearings of one stop to one bird, for each turn that the morning shares; shape (n, 5 or 1).

    Parameters
    ----------
    bearings : of one bird, from one place.
    places : shape (n, 2), easting and northing [m].
    params : share of strays, spread of a judged distance, errors that bearings share.

    Returns
    -------
    ndarray
        Density, a column a turn.

    Notes
    -----
    Of the variance of each a part ``stop_share`` is one and the same error (the ground between turns the sound), and
    is summed out by Gauss-Hermite quadrature; the rest is each bearing's own.
    """
    turns, _ = _turns(params)
    away = places - np.asarray(bearings[0].xy_m)
    distance = np.hypot(*away.T)
    ahead = away / np.maximum(distance, 1e-9)[:, None]
    judged = np.ones(len(places))
    for b in bearings:
        judged *= _judged(b, distance, params)
    if len(bearings) == 1:
        return np.asarray(_aimed(bearings[0], ahead, turns, bearings[0].sd_deg, params) * judged[:, None])
    together, own = np.sqrt(params.stop_share), np.sqrt(1 - params.stop_share)
    found = np.zeros((len(places), len(turns)))
    for z, weight in zip(TURN_NODES, TURN_WEIGHTS, strict=True):
        part = np.full(found.shape, weight)
        for b in bearings:
            part *= _aimed(b, ahead, turns + z * together * b.sd_deg, own * b.sd_deg, params)
        found += part
    return np.asarray(found * judged[:, None])


def _turns(params: EarshotParams) -> tuple[FloatArray, FloatArray]:
    """Turns that all bearings of a morning may share [deg], and the weight of each; one of 0 where they share none."""
    if params.shared_sd_deg <= 0:
        return np.zeros(1), np.ones(1)
    return params.shared_sd_deg * TURN_NODES, TURN_WEIGHTS


def over_turns(tables: Sequence[FloatArray], params: EarshotParams) -> FloatArray:
    """Multiply tables of :func:`density_at_stop`, one a stop, and sum over the turn that they share; shape (n,)."""
    _, weights = _turns(params)
    whole = tables[0] if len(tables) == 1 else np.multiply.reduce(list(tables))
    return np.asarray(whole @ weights)


def _density(bearings: Sequence[Bearing], places: FloatArray, params: EarshotParams) -> FloatArray:
    """Density of all bearings of one bird on one morning together, shape (n,).

    Parameters
    ----------
    bearings : of one bird.
    places : shape (n, 2), easting and northing [m].
    params : share of strays, spread of a judged distance, errors that bearings share.

    Returns
    -------
    ndarray
        Density of all bearings, shape (n,).

    Notes
    -----
    Their errors are independent, but for one turn that all of the morning share, and one that those of a stop share;
    both are normal, and summed out by Gauss-Hermite quadrature.
    """
    stops = [[b for b in bearings if b.xy_m == xy] for xy in dict.fromkeys(b.xy_m for b in bearings)]
    return over_turns([density_at_stop(own, places, params) for own in stops], params)


def _aimed(
    bearing: Bearing, ahead: FloatArray, turns_deg: FloatArray, sd_deg: float, params: EarshotParams
) -> FloatArray:
    """Density of a bearing for directions (unit vectors, shape (n, 2)) and turns; shape (n, turns)."""
    stray = params.stray_share if bearing.stray_share is None else bearing.stray_share
    read = np.radians(bearing.grid_azimuth_deg - turns_deg)
    cosine = ahead[:, :1] * np.sin(read) + ahead[:, 1:] * np.cos(read)
    aimed = von_mises_of_cosine(cosine, kappa_of_sd(float(sd_deg)))
    return np.asarray((1 - stray) * aimed + stray / (2 * np.pi), dtype=np.float64)


def _judged(bearing: Bearing, distance_m: FloatArray, params: EarshotParams) -> FloatArray:
    if not bearing.distance:
        return np.ones(len(distance_m))
    ratio = distance_m.clip(1.0) / figure("distance", f"{bearing.distance}_m")
    return np.asarray(np.exp(-(np.log(ratio) ** 2) / (2 * params.sd_log**2)), dtype=np.float64)


def chance_to_hear(where: Listening, places: FloatArray, audible: Layer | None, params: EarshotParams) -> FloatArray:
    """Chance that one display at each place is heard at a stop, shape (n,): from its layer, or by distance.

    Parameters
    ----------
    where : the stop.
    places : of the bird, shape (n, 2), easting and northing [m].
    audible : chance that one display in a cell is heard at this stop, or None.
    params : distance at which half the displays are heard.

    Returns
    -------
    ndarray
        Chance, 0..1, shape (n,).

    Notes
    -----
    Where no layer reaches: exp(-d^2 / (2 s^2)), s = half_m / sqrt(2 ln 2).
    """
    scale = params.half_m / HALF_NORMAL
    plain = np.exp(-((places - np.asarray(where.xy_m)) ** 2).sum(axis=1) / (2 * scale**2))
    if audible is None:
        return np.asarray(plain, dtype=np.float64)
    values = audible.at(places)
    return np.where(np.isfinite(values), values, plain)


def log_heard(
    heard: Sequence[FloatArray], silent: Sequence[tuple[FloatArray, float]], params: EarshotParams
) -> FloatArray:
    """Log chance to be heard at some stops and not at others, shape (n,).

    Parameters
    ----------
    heard : chance to hear one display, for each stop that heard the bird, each of shape (n,).
    silent : the same for each stop that did not, with the chance that it displayed in those minutes at all.
    params : shared loudness.

    Returns
    -------
    ndarray
        Logarithm of the chance, at most 0, shape (n,); shape (1,) and 0 where there is no stop at all.

    Notes
    -----
    One bird is loud or faint at all stops: with z standard normal, a stop hears it with chance
    Phi((Phi^-1(p) + sqrt(r) z) / sqrt(1 - r)); z is summed out by Gauss-Hermite quadrature. For r = 0 the stops are
    independent.
    """
    count = len((heard or [p for p, _ in silent])[0]) if heard or silent else 1
    table = np.ones((count, len(NODES)))
    for chance in heard:
        table *= heard_table(chance, params.shared_loudness)
    for chance, displayed in silent:
        table *= silent_table(chance, displayed, params.shared_loudness)
    return log_over_loudness(table)


def displayed_share(where: Listening, params: EarshotParams) -> float:
    """Chance that a displaying male displays at least once in the minutes of a stop: 1 - exp(-rate minutes)."""
    minutes = params.minutes_unknown if where.minutes is None else where.minutes
    return float(-np.expm1(-params.rate_per_min * minutes))


def log_habitat(habitat: Layer | None, places: FloatArray, params: EarshotParams) -> FloatArray:
    """Log of the prior by habitat, shape (n,): the layer over its mean, mixed with an even share of doubt.

    Parameters
    ----------
    habitat : density or suitability in any unit, or None.
    places : shape (n, 2), easting and northing [m].
    params : share of birds that pay no heed to the layer.

    Returns
    -------
    ndarray
        Logarithm of the prior up to a constant, shape (n,); 0 everywhere without a layer or where it holds nothing.
    """
    if habitat is None:
        return np.zeros(len(places))
    values = np.maximum(habitat.at(places), 0.0)
    mean = float(np.nanmean(values)) if np.isfinite(values).any() else 0.0
    if mean <= 0:
        return np.zeros(len(places))
    even = np.where(np.isfinite(values), values / mean, 1.0)
    mixed = (1 - params.habitat_doubt) * even + params.habitat_doubt
    return np.asarray(np.log(np.maximum(mixed, TINY)), dtype=np.float64)


def chance_of_place(
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    grid: Grid,
    *,
    habitat: Layer | None = None,
    audible: Mapping[str, Layer] | None = None,
    closed: Layer | None = None,
    params: EarshotParams | None = None,
) -> Layer:
    """Chance of every cell to hold the bird.

    Parameters
    ----------
    bearings : of one bird, at least one.
    listening : all stops of that morning; those without a bearing of this bird did not hear it.
    grid : of the trip; the layer returned lies on a finer one lined up with it, round the stations.
    habitat : density or suitability, any scale.
    audible : by name of stop, the chance that one display in a cell is heard there.
    closed : above 0 where no bird can be, such as open water.
    params : how all this weighs.

    Returns
    -------
    Layer
        Sums to 1.

    Raises
    ------
    InputError
        If there is no bearing.
    """
    params = params or EarshotParams()
    if not bearings:
        raise InputError("a place needs at least one bearing")
    stations = stations_m(bearings)
    fine = window(grid, stations, params)
    everywhere = centres_m(fine)
    near = within_reach(stations, everywhere, params)
    if closed is not None:
        open_near = near & ~(closed.at(everywhere) > 0)
        near = open_near if open_near.any() else near
    places = everywhere[near]
    score = log_habitat(habitat, everywhere, params)[near] + np.log(_density(bearings, places, params).clip(TINY))
    heard, silent = split_stops(bearings, listening)
    layers = audible or {}
    score = score + log_heard(
        [chance_to_hear(w, places, layers.get(w.stop), params) for w in heard],
        [(chance_to_hear(w, places, layers.get(w.stop), params), displayed_share(w, params)) for w in silent],
        params,
    )
    weight = np.zeros(len(everywhere))
    weight[near] = np.exp(score - score.max())
    return Layer("chance of place", "1", fine, (weight / weight.sum()).reshape(fine.shape))


def within_reach(stations: FloatArray, places: FloatArray, params: EarshotParams) -> NDArray[np.bool_]:
    """Which places no station lies farther from than ``cap_m``; if there are none, any station will do.

    Parameters
    ----------
    stations : where bearings were taken, shape (m, 2) [m].
    places : shape (n, 2) [m].
    params : no bird is looked for beyond its ``cap_m``.

    Returns
    -------
    ndarray
        True where a place is in reach, shape (n,).
    """
    far = np.stack([np.hypot(*(places - s).T) for s in np.unique(stations, axis=0)])
    near = far.max(axis=0) <= params.cap_m
    return np.asarray(near if near.any() else far.min(axis=0) <= params.cap_m)


def split_stops(
    bearings: Sequence[Bearing], listening: Sequence[Listening]
) -> tuple[tuple[Listening, ...], tuple[Listening, ...]]:
    """Part the stops that heard the bird, one for each place with a bearing, and stops that did not."""
    heard = {b.xy_m: Listening(b.stop, b.xy_m, at=b.at) for b in bearings}
    names = {b.stop for b in bearings if b.stop}
    silent = tuple(w for w in listening if w.stop not in names and w.xy_m not in heard)
    return tuple(heard.values()), silent
