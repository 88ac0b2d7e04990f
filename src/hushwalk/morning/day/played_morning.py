"""Mornings that are played: a walker keeps a timetable, hears, closes in on some birds, and comes home on time or late.

What was drawn is drawn_days.py's; the search that follows is late_search.py's.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numba import njit
from scipy.special import ndtr, ndtri

from hushwalk.morning.day.day_figures import closing_in_curve, day_figure
from hushwalk.morning.day.day_walk import DayWalk
from hushwalk.morning.day.drawn_days import DrawnDays
from hushwalk.notes.figures import figure
from hushwalk.types import BoolArray, FloatArray, IntArray

LEG_ERROR = 0.1  # judgement: one errs by a tenth on the time of a leg, as in docs/benchmarks/on_time.py
MIDDLE_LUCK = 0.5  # definition: as many tries are shorter as are longer
TRY_SPREAD = 0.6  # judgement: evenly spread on the logarithm, from 24 minutes on average up to 45
ROOM_MOST_MIN = 30.0  # judgement: half an hour reaches most birds, so that a try begins where so much is left
AHEAD_LEAST_M = 15.0  # judgement: even to a bird that seems near one goes some steps
SUCCESS, TIME, JUDGED, LOG, NEAR = range(5)  # definition: columns of the luck of a bird


@dataclass(frozen=True, eq=False)
class PlayedMornings:
    """What came of each bird and each day.

    Parameters
    ----------
    heard : shape (n, s), at which stops each bird was heard.
    tried, closed_in : shape (n,), whether one tried to close in on him, and came near him.
    back_min : shape (days,), when one is back at the car, from sunrise [min].
    stood : shape (days,), stops that were stood.
    """

    heard: BoolArray = field(repr=False)
    tried: BoolArray = field(repr=False)
    closed_in: BoolArray = field(repr=False)
    back_min: FloatArray = field(repr=False)
    stood: IntArray = field(repr=False)


class _Way(NamedTuple):
    """The timetable for compiled loops."""

    depart: float
    promise: float
    tries: bool
    light: float
    leave: FloatArray
    stand: FloatArray
    walk: FloatArray


class _Try(NamedTuple):
    """Closing in for compiled loops."""

    judged: FloatArray
    success: FloatArray
    hour: FloatArray  # chance of success by minute, against the best
    farthest_m: float
    end_m: float
    speed_ms: float
    step_m: float
    stand_min: float
    longest_min: float
    least_min: float


def audible_at(days: DrawnDays, walk: DayWalk, heard: FloatArray) -> BoolArray:
    """Whether a drum of each bird is loud enough at each stop.

    Parameters
    ----------
    days : what was drawn.
    walk : the timetable.
    heard : shape (levels, s, n_cells), chance to hear one drum from each cell, by level of evidence, 0..1.

    Returns
    -------
    ndarray
        Shape (n, s).

    Notes
    -----
    A drum is heard where ``sqrt(r) loud + sqrt(1 - r) path`` lies below the normal quantile of the chance: the same
    bird is loud or faint at all stops of a morning with the share r.
    """
    if not len(days.cell):
        return np.zeros((0, walk.stops), dtype=bool)
    r = figure("earshot", "shared_loudness")
    chance = heard[days.level[days.day], :, days.cell]
    faint = np.sqrt(r) * days.loud[:, None] + np.sqrt(1 - r) * days.path[:, walk.column]
    return np.asarray(ndtr(faint) < chance)


def play_mornings(days: DrawnDays, walk: DayWalk, heard: FloatArray, hour_factor: FloatArray) -> PlayedMornings:
    """Walk a timetable on every day.

    Parameters
    ----------
    days : what was drawn.
    walk : the timetable.
    heard : shape (levels, s, n_cells), chance to hear one drum from each cell, by level of evidence, 0..1.
    hour_factor : shape (t,), how active the hour is, minute by minute as in ``days.drums``, 0..1.

    Returns
    -------
    PlayedMornings

    Notes
    -----
    A walker leaves a stop as planned, or late; leaves out a stop from which the promise could not be kept at the
    planned pace. Where minutes are kept for it and it is light enough, the walker closes in from a stop on the bird
    judged nearest of all that were heard there or before, and then the next one, while the promise holds, one try a
    bird. A try that fails still gives one bearing from nearer.
    """
    audible = audible_at(days, walk, heard)
    pace = (1 + days.slower) / (1 + walk.reserve)
    legs = pace[:, None] * np.exp(LEG_ERROR * days.leg_error[:, : walk.stops + 1])
    away = np.hypot(*(days.xy_m[:, None, :] - walk.stops_m[None, :, :]).transpose(2, 0, 1))
    found = _play(
        days.first,
        days.first_min,
        days.drums,
        audible,
        judged_m(away, days.luck[:, JUDGED]),
        days.luck,
        np.ascontiguousarray(legs),
        _Way(
            float(walk.depart_min),
            float(walk.promise_min),
            walk.closing_in_min > 0,
            float(walk.light_min),
            np.asarray(walk.leave_min, dtype=float),
            np.asarray(walk.stand_min, dtype=float),
            np.ascontiguousarray(walk.walk_min),
        ),
        _closing_in(days.first_min, hour_factor),
    )
    return PlayedMornings(*found)


def judged_m(away_m: FloatArray, luck: FloatArray) -> FloatArray:
    """Distance as the ear judges it.

    Parameters
    ----------
    away_m : shape (n, s), true [m].
    luck : shape (n,), 0..1.

    Returns
    -------
    ndarray
        Shape (n, s): log-normal without bias, with less spread near than far [m].
    """
    return np.asarray(away_m * np.exp(spread_log(away_m) * ndtri(np.clip(luck, 1e-6, 1 - 1e-6))[:, None]))


def spread_log(away_m: FloatArray) -> FloatArray:
    """Spread of the logarithm of a distance that is judged by ear, by the distance [m]."""
    near, far = day_figure("placing", "near_sd_to_m"), day_figure("placing", "far_sd_from_m")
    return np.interp(away_m, (near, far), (day_figure("closing_in", "near_sd_log"), figure("distance", "sd_log")))


def _closing_in(first_min: int, hour_factor: FloatArray) -> _Try:
    """Chances and times of closing in; it fades with the hour from some time after sunrise on."""
    fades = int(figure("closing_in", "worth_after_sunrise_min")) - first_min
    hour = np.ones(len(hour_factor))
    if 0 <= fades < len(hour):
        hour[fades:] = np.minimum(hour_factor[fades:] / max(hour_factor[fades], 1e-9), 1.0)
    return _Try(
        *closing_in_curve(),
        hour,
        farthest_m=day_figure("closing_in", "farthest_m"),
        end_m=figure("closing_in", "end_m"),
        speed_ms=day_figure("closing_in", "speed_ms"),
        step_m=day_figure("closing_in", "step_m"),
        stand_min=day_figure("closing_in", "stand_min"),
        longest_min=figure("closing_in", "long_try_min"),
        least_min=day_figure("closing_in", "least_min"),
    )


@njit(cache=True, nogil=True)
def _play(  # pragma: no cover  compiled
    first: IntArray,
    first_min: int,
    drums: BoolArray,
    audible: BoolArray,
    judged: FloatArray,
    luck: FloatArray,
    legs: FloatArray,
    way: _Way,
    close: _Try,
) -> tuple[BoolArray, BoolArray, BoolArray, FloatArray, IntArray]:
    n, stops = audible.shape
    heard, tried, closed = np.zeros((n, stops), np.bool_), np.zeros(n, np.bool_), np.zeros(n, np.bool_)
    back, stood = np.zeros(len(first) - 1), np.zeros(len(first) - 1, np.int64)
    for day in range(len(first) - 1):
        clock, here = way.depart, 0
        for s in range(stops):
            planned = clock + way.walk[here, s + 1] + way.stand[s] + way.walk[s + 1, 0]
            if not planned <= way.promise:
                continue
            begin = clock + way.walk[here, s + 1] * legs[day, s]
            end = max(begin + way.stand[s], way.leave[s])
            for bird in range(first[day], first[day + 1]):
                heard[bird, s] = audible[bird, s] and _drummed(drums[bird], begin - first_min, end - first_min)
            clock, here = end, s + 1
            stood[day] += 1
            while way.tries and clock >= way.light:
                bird = _nearest(heard, tried, judged, s, first[day], first[day + 1], close.farthest_m)
                if bird < 0:
                    break
                minutes = _try_minutes(judged[bird, s], luck[bird, TIME], close)
                room = way.promise - clock - way.walk[here, 0]
                usual = min(_try_minutes(judged[bird, s], MIDDLE_LUCK, close), ROOM_MOST_MIN)
                if room < max(close.least_min, usual):
                    break
                tried[bird] = True
                minute = min(max(int(clock - first_min), 0), len(close.hour) - 1)
                chance = np.interp(judged[bird, s], close.judged, close.success) * close.hour[minute]
                closed[bird] = luck[bird, SUCCESS] < chance and minutes <= room
                clock += min(minutes, room)
        back[day] = clock + way.walk[here, 0] * legs[day, stops]
    return heard, tried, closed, back, stood


@njit(cache=True, nogil=True)
def _drummed(drums: BoolArray, begin: float, end: float) -> bool:  # pragma: no cover  compiled
    """Whether he drums in a stand; of minutes cut by its ends those count whose middle lies in it."""
    return bool(np.any(drums[max(int(np.round(begin)), 0) : max(int(np.round(end)), 0)]))


@njit(cache=True, nogil=True)
def _nearest(  # pragma: no cover  compiled
    heard: BoolArray, tried: BoolArray, judged: FloatArray, stop: int, first: int, last: int, farthest_m: float
) -> int:
    """The bird judged nearest to a stop, of those heard there or before; -1 where none is near enough."""
    best, least = -1, farthest_m
    for bird in range(first, last):
        if not tried[bird] and judged[bird, stop] < least and np.any(heard[bird, : stop + 1]):
            best, least = bird, judged[bird, stop]
    return best


@njit(cache=True, nogil=True)
def _try_minutes(judged_m: float, luck: float, close: _Try) -> float:  # pragma: no cover  compiled
    """Minutes of a try: the walk nearer and a stand at every step, times what chance makes of it."""
    ahead = max(judged_m - close.end_m, AHEAD_LEAST_M)
    plain = ahead / close.speed_ms / 60 + close.stand_min * (1 + ahead / close.step_m)
    return float(min(plain * np.exp(TRY_SPREAD * (2 * luck - 1)), close.longest_min))
