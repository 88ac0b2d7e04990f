"""Walks that need no plan: out along a line, a stop every so many metres, and back the same way.

Which lines, spacings and minutes promise most is counted here quickly; what such a walk is worth is plain_plan.py's.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from itertools import product

import numpy as np
from scipy.sparse import csr_array

from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import distances_along, points_along, polyline_length
from hushwalk.habitat.density import males_on
from hushwalk.hearing.coverage import Coverage
from hushwalk.morning.look_round import Morning
from hushwalk.morning.posts import log_chance, males_in_earshot, post_params
from hushwalk.site.detectability import Detectability, availability_table
from hushwalk.site.site import Site
from hushwalk.types import BoolArray, FloatArray, IntArray
from hushwalk.walking.times import travel_times

SPACE_STEP_M = 50.0  # definition: all spacings are whole steps of it
SPACINGS_M = (100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 600.0, 800.0)  # judgement: from earshot in noise to half a mile
RANKED_EVERY_S = 900.0  # judgement: a quarter of an hour ranks the walks; plain_plan.py then leaves every five minutes
TRIED_IN_FULL = 6  # judgement: the best few trails, and as many straight walks, by the males along them
DIRECTIONS = 16  # definition: the points of the compass rose


class PlainWalkKind(Enum):
    """Which way a plain walk goes, or why there is none."""

    BY_TRAIL = "out and back by trail and road"
    STRAIGHT = "out and back straight"
    NONE_FITS = "no stop fits into the morning"
    ANOTHER_START = "one starts elsewhere"
    UNDER_WAY = "the walk is under way"
    WITHHELD = "left out for sharing"


@dataclass(frozen=True, eq=False)
class PlainRoute:
    """Out along a line and back, with evenly spaced stops of one length.

    Parameters
    ----------
    kind : by trail and road, or straight.
    towards : the side it leads to, such as ``"north-east"``.
    spacing_m, dwell_s : between stops [m], and at each [s].
    stops_xy : shape (n, 2), from the car outwards, off ground that probably holds a log [m].
    along_m : shape (n,), way along the line to each stop [m].
    line_m : shape (k, 2), from the car to the last stop [m].
    """

    kind: PlainWalkKind
    towards: str
    spacing_m: float
    dwell_s: float
    stops_xy: FloatArray = field(repr=False)
    along_m: FloatArray = field(repr=False)
    line_m: FloatArray = field(repr=False)


@dataclass(frozen=True, eq=False)
class _Line:
    kind: PlainWalkKind
    towards: str
    line_m: FloatArray
    out_s: float
    back_s: float

    @property
    def length_m(self) -> float:
        return polyline_length(self.line_m)

    @property
    def places_m(self) -> FloatArray:
        """Where one could stop, every step from the car on."""
        return _along(self.line_m, SPACE_STEP_M)[1:]


@dataclass(frozen=True, eq=False)
class _Heard:
    """What the places of a line hear, and which of them are far enough from probable logs."""

    chance: FloatArray
    males: FloatArray
    allowed: BoolArray


def plain_routes(morning: Morning) -> tuple[PlainRoute, ...]:
    """Find the most promising plain walk by trail and road, and the most promising straight one.

    Returns
    -------
    tuple of PlainRoute
        Over trails and directions, spacings, minutes a stop and hours of leaving; none where nothing fits.

    Notes
    -----
    Counted by daylight times, straight walks from civil dawn on where one does not leave trails in the dark, and on
    target cells of twice the usual size: that ranks them well enough.
    """
    heard = males_in_earshot(morning.site.density, post_params(morning.settings, morning.detectability).earshot_sd_m)
    way, least_s = morning.way, morning.dwell_s[0]
    reached = np.where(way.from_car_s * 2 < morning.window_s - least_s, way.from_car_s, np.nan)
    ends = {
        PlainWalkKind.BY_TRAIL: _promising(morning.site, heard, np.where(way.on_trail, reached, np.nan)),
        PlainWalkKind.STRAIGHT: _promising(morning.site, heard, reached),
    }
    lines = [line for kind, places in ends.items() for line in _lines(morning, kind, places)]
    table = availability_table(morning.detectability, morning.site, morning.clock, morning.dwell_s)
    best: dict[PlainWalkKind, tuple[float, PlainRoute]] = {}
    for line, one in zip(lines, _heard_along(morning, lines), strict=True):
        for worth, route in _timed(line, one, morning, table[:2]):
            if worth > best.get(line.kind, (0.0, route))[0]:
                best[line.kind] = worth, route
    return tuple(route for _, route in best.values())


def _promising(site: Site, heard: Layer, reached_s: FloatArray) -> FloatArray:
    """The farthest place in each direction, and of those the few with most males on the straight way there."""
    ends = _farthest_by_direction(site, reached_s)
    car = np.asarray(site.car.xy_m)
    promise = [float(np.nansum(heard.at(_along(np.array([car, end]), 2 * SPACE_STEP_M)))) for end in ends]
    return ends[np.argsort(promise)[::-1][:TRIED_IN_FULL]]


def _lines(morning: Morning, kind: PlainWalkKind, ends: FloatArray) -> list[_Line]:
    if len(ends) == 0:
        return []
    car = np.array([morning.site.car.xy_m])
    names = ["the car", *("an end",) * len(ends)]
    times = travel_times(morning.way.graph, np.vstack([car, ends]), names=names, near=0)
    return [
        _Line(
            kind,
            _compass(end - car[0]),
            times.path(0, k).line_m,
            float(times.day_s[0, k]),
            float(times.day_s[k, 0]),
        )
        for k, end in enumerate(ends, start=1)
        if np.isfinite(times.day_s[0, k] + times.day_s[k, 0])
    ]


def _farthest_by_direction(site: Site, reached_s: FloatArray) -> FloatArray:
    rows, cols = np.nonzero(np.isfinite(reached_s))
    points = site.grid.xy(rows, cols)
    away = points - np.asarray(site.car.xy_m)
    far_m = np.hypot(*away.T)
    sector = np.round(np.arctan2(away[:, 0], away[:, 1]) / (2 * np.pi / DIRECTIONS)).astype(int) % DIRECTIONS
    ends = [points[sector == k][np.argmax(far_m[sector == k])] for k in np.unique(sector[far_m > 2 * SPACE_STEP_M])]
    return np.array(ends).reshape(-1, 2)


def _heard_along(morning: Morning, lines: Sequence[_Line]) -> list[_Heard]:
    """What the places of each line hear; lines that leave the car by one trail share its places."""
    posts = [line.places_m for line in lines if line.length_m >= SPACE_STEP_M]
    if not posts:
        return [_Heard(np.zeros((0, 0)), np.zeros(0), np.zeros(0, bool)) for _ in lines]
    places, which = np.unique(np.vstack(posts), axis=0, return_inverse=True)
    found, site = coarse_coverage(morning.detectability, places), morning.site
    males = males_on(site.density, found.grid)
    near = log_chance(site.density, morning.settings.walker.stand_off_m).at(places)
    allowed = np.nan_to_num(near, nan=1.0) <= post_params(morning.settings, morning.detectability).log_chance_max
    rows, cols = site.grid.rowcol(places)
    allowed &= ~np.asarray(site.ground.passage.no_stop)[rows, cols]
    ends = np.cumsum([len(line.places_m) for line in lines])[:-1]
    heard = []
    levels = morning.detectability.at_levels(found)
    for own in np.split(which.ravel(), ends):
        parts = [_among_males(one.chance[own.tolist()], weight * males) for weight, one in levels]
        chance, weights = (np.concatenate(part, axis=-1) for part in zip(*parts, strict=True))
        heard.append(_Heard(chance, weights, allowed[own]))
    return heard


def _among_males(chance: csr_array, males: FloatArray) -> tuple[FloatArray, FloatArray]:
    cells = np.unique(chance.indices[males[chance.indices] > 0])
    return chance[:, cells].toarray(), males[cells]


def coarse_coverage(detectability: Detectability, places_xy: FloatArray) -> Coverage:
    """Give what places hear on target cells of twice the usual size: enough to rank them, at a quarter of the work."""
    usual = detectability.soundscape.params
    coarse = replace(detectability.soundscape, params=replace(usual, target_cell_m=2 * usual.target_cell_m))
    return coarse.coverage(places_xy)


def _timed(
    line: _Line, heard: _Heard, morning: Morning, table: tuple[FloatArray, FloatArray]
) -> Iterator[tuple[float, PlainRoute]]:
    """The line with every spacing and dwell, as many stops as fit, at its best hour of leaving."""
    clock, clock_s = morning.clock, table[0]
    dark = line.kind is PlainWalkKind.STRAIGHT and not morning.settings.morning.off_trail_in_the_dark
    first_s = max(clock.earliest_s, clock.civil_dawn_s) if dark else clock.earliest_s
    for spacing_m, (d, dwell_s) in product(SPACINGS_M, enumerate(morning.dwell_s)):
        stops = _stops(heard.allowed, round(spacing_m / SPACE_STEP_M))[: morning.settings.morning.stops_max]
        share = (stops + 1) * SPACE_STEP_M / line.length_m
        needed_s = share * (line.out_s + line.back_s) + np.arange(1, len(stops) + 1) * dwell_s
        begin_s = share * line.out_s + np.arange(len(stops)) * dwell_s
        worth, fit = 0.0, 0
        for leave_s in np.arange(first_s, morning.last_s, RANKED_EVERY_S):
            many = int(np.count_nonzero(needed_s <= min(morning.window_s, morning.last_s - leave_s)))
            if many == 0:
                break
            factor = np.interp(leave_s + begin_s[:many], clock_s, table[1][d])
            one = float(heard.males @ (1 - np.prod(1 - heard.chance[stops[:many]] * factor[:, None], axis=0)))
            worth, fit = max((worth, fit), (one, many))
        if fit:
            yield worth, _route(line, spacing_m, dwell_s, stops[:fit])


def _route(line: _Line, spacing_m: float, dwell_s: float, stops: IntArray) -> PlainRoute:
    places = line.places_m
    return PlainRoute(
        line.kind,
        line.towards,
        spacing_m,
        dwell_s,
        stops_xy=places[stops],
        along_m=np.asarray((stops + 1) * SPACE_STEP_M, dtype=np.float64),
        line_m=np.concatenate([line.line_m[:1], places[: stops[-1] + 1]]),
    )


def _stops(allowed: BoolArray, every: int) -> IntArray:
    """Places every so many steps; one too near a probable log is moved along the line, or left out."""
    found: list[int] = []
    for nominal in range(every - 1, len(allowed), every):
        near = [
            k for k in range(nominal - every // 2, nominal + (every + 1) // 2) if 0 <= k < len(allowed) and allowed[k]
        ]
        near = [k for k in near if not found or k > found[-1]]
        if near:
            found.append(min(near, key=lambda k: abs(k - nominal)))
    return np.array(found, dtype=np.int64)


def _along(line_m: FloatArray, every_m: float) -> FloatArray:
    return points_along(line_m, np.arange(0, distances_along(line_m)[-1] + 1e-6, every_m))


def _compass(away_m: FloatArray) -> str:
    names = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
    return names[int(np.round(np.degrees(np.arctan2(away_m[0], away_m[1])) / 45)) % 8]
