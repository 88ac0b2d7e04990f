"""The plain comparison: the same morning on evenly spaced stops along the best trail or straight walk.

It is worked out with the same ears, the same clock and the same males as the plan.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from hushwalk.errors import NoPlanError
from hushwalk.grid.grid import FloatArray
from hushwalk.trip.listening import Ears, availability_table, heard_from
from hushwalk.trip.morning import Clock
from hushwalk.trip.posts import males_in_earshot
from hushwalk.trip.report import PlainWalk
from hushwalk.trip.settings import TripSettings
from hushwalk.trip.stated import males_on, post_params
from hushwalk.trip.survey import Survey
from hushwalk.trip.way import Way
from hushwalk.walking.times import travel_times

BoolArray = NDArray[np.bool_]

SPACINGS_M = (200.0, 300.0, 400.0, 600.0, 800.0)  # judgement: from the published best on foot to half a mile
DWELLS_S = (240.0, 300.0)  # definition: the four minutes of agency counts, and five
START_STEP_S = 900.0  # judgement: leaving a quarter of an hour earlier or later changes little
TRIED_IN_FULL = 6  # judgement: the best few by the males along them
DIRECTIONS = 16  # definition: the points of the compass rose


@dataclass(frozen=True, eq=False)
class _Line:
    words: str
    line_m: FloatArray
    out_s: float
    back_s: float
    promise: float

    @property
    def length_m(self) -> float:
        return float(np.hypot(*np.diff(self.line_m, axis=0).T).sum())


def best_plain_walk(settings: TripSettings, survey: Survey, ears: Ears, way: Way, clock: Clock) -> PlainWalk:
    """Find the best walk that needs no plan: out along a line, a stop every so many metres, and back the same way.

    Returns
    -------
    PlainWalk
        The best over trails and straight walks, spacings, minutes a stop and hours of leaving.
    """
    heard = males_in_earshot(survey.density, post_params(settings, ears).earshot_sd_m)
    lines = [
        *_walks(survey, way, clock, heard.at, on_trail=True),
        *_walks(survey, way, clock, heard.at, on_trail=False),
    ]
    lines.sort(key=lambda line: -line.promise)
    tried = [walk for line in lines[:TRIED_IN_FULL] for walk in _timed(line, survey, ears, clock)]
    if not tried:
        return PlainWalk("no plain walk of even one stop fits into the morning", 0, 0.0, 0.0)
    return max(tried, key=lambda walk: walk.males_expected)


def _walks(survey: Survey, way: Way, clock: Clock, heard_at: "object", *, on_trail: bool) -> list[_Line]:
    ends = _trail_ends(survey, way, clock) if on_trail else _straight_ends(survey, way, clock)
    if len(ends) == 0:
        return []
    car = np.array([survey.car.xy_m])
    times = travel_times(way.graph, np.vstack([car, ends]), names=["the car", *("an end",) * len(ends)])
    found = []
    for k in range(1, len(ends) + 1):
        try:
            line = times.path(0, k)
        except NoPlanError:
            continue
        points = _along(line.line_m, SPACINGS_M[0])
        promise = float(np.nansum(heard_at(points)))  # type: ignore[operator]
        towards = _compass(ends[k - 1] - car[0])
        words = f"out and back {'by trail and road' if on_trail else 'straight'} to the {towards}"
        found.append(_Line(words, line.line_m, float(times.day_s[0, k]), float(times.day_s[k, 0]), promise))
    return found


def _trail_ends(survey: Survey, way: Way, clock: Clock) -> FloatArray:
    reached = np.where(way.on_trail & (way.from_car_s * 2 < clock.window_s - DWELLS_S[0]), way.from_car_s, np.nan)
    return _farthest_by_direction(survey, reached)


def _straight_ends(survey: Survey, way: Way, clock: Clock) -> FloatArray:
    reached = np.where(way.from_car_s * 2 < clock.window_s - DWELLS_S[0], way.from_car_s, np.nan)
    return _farthest_by_direction(survey, reached)


def _farthest_by_direction(survey: Survey, reached_s: FloatArray) -> FloatArray:
    rows, cols = np.nonzero(np.isfinite(reached_s))
    points = survey.grid.xy(rows, cols)
    away = points - np.asarray(survey.car.xy_m)
    far_m = np.hypot(*away.T)
    sector = np.round(np.arctan2(away[:, 0], away[:, 1]) / (2 * np.pi / DIRECTIONS)).astype(int) % DIRECTIONS
    ends = [points[sector == k][np.argmax(far_m[sector == k])] for k in np.unique(sector[far_m > SPACINGS_M[0]])]
    return np.array(ends).reshape(-1, 2)


def _timed(line: _Line, survey: Survey, ears: Ears, clock: Clock) -> list[PlainWalk]:
    finest = _along(line.line_m, 100.0)
    posts = finest[1:]
    if len(posts) == 0:
        return []
    heard = heard_from(ears, survey, posts)
    males = males_on(survey.density, heard.grid)
    clock_s, table, participation = availability_table(ears, survey, clock, DWELLS_S)
    walks = []
    for spacing_m, (d, dwell_s) in product(SPACINGS_M, enumerate(DWELLS_S)):
        stops = np.arange(round(spacing_m / 100.0) - 1, len(posts), round(spacing_m / 100.0))
        share = (stops + 1) * 100.0 / max(line.length_m, 100.0)
        for count in range(1, len(stops) + 1):
            needed_s = share[count - 1] * (line.out_s + line.back_s) + count * dwell_s
            if needed_s > clock.window_s:
                break
        else:
            count = len(stops) + 1
        fit = count - 1 if len(stops) else 0
        if fit < 1:
            continue
        needed_s = share[fit - 1] * (line.out_s + line.back_s) + fit * dwell_s
        begin_s = share[:fit] * line.out_s + np.arange(fit) * dwell_s
        best = max(
            _worth(heard.chance[stops[:fit]], males, np.interp(leave + begin_s, clock_s, table[d]))
            for leave in np.arange(clock.earliest_s, clock.latest_s - needed_s + 1, START_STEP_S)
        )
        words = f"{line.words}, {dwell_s / 60:.0f} min every {spacing_m:.0f} m"
        walks.append(
            PlainWalk(words, fit, best * participation, 2 * share[fit - 1] * line.length_m, _along(line.line_m, 100.0))
        )
    return walks


def _worth(chance: csr_array, males: FloatArray, factor: FloatArray) -> float:
    missed = np.ones(chance.shape[1])
    for row in range(chance.shape[0]):
        one = chance[[row]]
        missed[one.indices] *= 1 - one.data * factor[row]
    return float(males @ (1 - missed))


def _along(line_m: FloatArray, every_m: float) -> FloatArray:
    at = np.r_[0, np.cumsum(np.hypot(*np.diff(line_m, axis=0).T))]
    where = np.arange(0, at[-1] + 1e-6, every_m)
    return np.stack([np.interp(where, at, line_m[:, 0]), np.interp(where, at, line_m[:, 1])], axis=1)


def _compass(away_m: FloatArray) -> str:
    names = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
    return names[int(np.round(np.degrees(np.arctan2(away_m[0], away_m[1])) / 45)) % 8]
