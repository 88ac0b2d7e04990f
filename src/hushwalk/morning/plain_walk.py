"""The plain comparison: the same morning on evenly spaced stops along the best trail or straight walk.

It is worked out with the same soundscape, the same clock and the same males as the plan.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import distances_along, points_along, polyline_length
from hushwalk.habitat.density import males_on
from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import post_params
from hushwalk.morning.posts import males_in_earshot
from hushwalk.morning.report import PlainWalk, PlainWalkKind
from hushwalk.site.detectability import availability_table
from hushwalk.site.site import Site
from hushwalk.site.walk_network import WalkNetwork
from hushwalk.types import FloatArray
from hushwalk.walking.times import travel_times

SPACE_STEP_M = 100.0  # definition: all spacings are whole steps of it
SPACINGS_M = (200.0, 300.0, 400.0, 600.0, 800.0)  # judgement: from the published best on foot to half a mile
DWELLS_S = (240.0, 300.0)  # definition: the four minutes of agency counts, and five
START_STEP_S = 900.0  # judgement: leaving a quarter of an hour earlier or later changes little
TRIED_IN_FULL = 4  # judgement: the best few trails, and as many straight walks, by the males along them
DIRECTIONS = 16  # definition: the points of the compass rose


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


def best_plain_walk(morning: Morning) -> PlainWalk:
    """Find the best walk that needs no plan: out along a line, a stop every so many metres, and back the same way.

    Returns
    -------
    PlainWalk
        The best over trails and straight walks, spacings, minutes a stop and hours of leaving.
    """
    walks = plain_walks(morning)
    if not walks:
        return PlainWalk(PlainWalkKind.NONE_FITS)
    return max(walks, key=lambda walk: walk.males_expected)


def plain_walks(morning: Morning) -> tuple[PlainWalk, ...]:
    """Find the best plain walk by trail and road, and the best straight one; none where there is none.

    Returns
    -------
    tuple of PlainWalk
        By trail, and straight.
    """
    site, detectability, way = morning.site, morning.detectability, morning.way
    heard = males_in_earshot(site.density, post_params(morning.settings, detectability).earshot_sd_m)
    reached = np.where(way.from_car_s * 2 < morning.window_s - DWELLS_S[0], way.from_car_s, np.nan)
    ends = {
        PlainWalkKind.BY_TRAIL: _promising(site, heard, np.where(way.on_trail, reached, np.nan)),
        PlainWalkKind.STRAIGHT: _promising(site, heard, reached),
    }
    lines = {kind: _lines(site, way, kind, places) for kind, places in ends.items()}
    coverages = _coverages([line for own in lines.values() for line in own], detectability.soundscape)
    best = []
    for own in lines.values():
        these, coverages = coverages[: len(own)], coverages[len(own) :]
        pairs = zip(own, these, strict=True)
        tried = [walk for line, one in pairs for walk in _timed(line, one, morning)]
        if tried:
            best.append(max(tried, key=lambda walk: walk.males_expected))
    return tuple(best)


def _promising(site: Site, heard: Layer, reached_s: FloatArray) -> FloatArray:
    """The farthest place in each direction, and of those the few with most males on the straight way there."""
    ends = _farthest_by_direction(site, reached_s)
    car = np.asarray(site.car.xy_m)
    promise = [float(np.nansum(heard.at(_along(np.array([car, end]), SPACINGS_M[0])))) for end in ends]
    return ends[np.argsort(promise)[::-1][:TRIED_IN_FULL]]


def _lines(site: Site, way: WalkNetwork, kind: PlainWalkKind, ends: FloatArray) -> list[_Line]:
    if len(ends) == 0:
        return []
    car = np.array([site.car.xy_m])
    times = travel_times(way.graph, np.vstack([car, ends]), names=["the car", *("an end",) * len(ends)])
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
    ends = [points[sector == k][np.argmax(far_m[sector == k])] for k in np.unique(sector[far_m > SPACINGS_M[0]])]
    return np.array(ends).reshape(-1, 2)


def _coverages(lines: list[_Line], soundscape: Soundscape) -> list[Coverage]:
    """What the posts of each line hear; lines that leave the car by one trail share its posts."""
    if not lines:
        return []
    posts = [_along(line.line_m, SPACE_STEP_M)[1:] for line in lines]
    places, which = np.unique(np.vstack(posts), axis=0, return_inverse=True)
    heard = soundscape.coverage(places)
    ends = np.cumsum([len(own) for own in posts])[:-1]
    return [heard.of_posts(own.tolist()) for own in np.split(which.ravel(), ends)]


def _timed(line: _Line, heard: Coverage, morning: Morning) -> list[PlainWalk]:
    """The line with every spacing and dwell, as many stops as fit, at its best hour of leaving."""
    posts = heard.chance.shape[0]
    if posts == 0:
        return []
    cells = np.unique(heard.chance.indices)
    chance, males = heard.chance[:, cells].toarray(), males_on(morning.site.density, heard.grid)[cells]
    clock_s, table, participation = availability_table(morning.detectability, morning.site, morning.clock, DWELLS_S)
    there_and_back_s = line.out_s + line.back_s
    walks = []
    for spacing_m, (d, dwell_s) in product(SPACINGS_M, enumerate(DWELLS_S)):
        stops = np.arange(round(spacing_m / SPACE_STEP_M) - 1, posts, round(spacing_m / SPACE_STEP_M))
        share = (stops + 1) * SPACE_STEP_M / line.length_m
        needed_s = share * there_and_back_s + np.arange(1, len(stops) + 1) * dwell_s
        fit = int(np.count_nonzero(needed_s <= morning.window_s))
        if fit == 0:
            continue
        begin_s = share[:fit] * line.out_s + np.arange(fit) * dwell_s
        best = max(
            _worth(chance[stops[:fit]], males, np.interp(leave_s + begin_s, clock_s, table[d]))
            for leave_s in np.arange(morning.clock.earliest_s, morning.last_s - needed_s[fit - 1] + 1, START_STEP_S)
        )
        walks.append(
            PlainWalk(
                line.kind,
                line.towards,
                dwell_min=dwell_s / 60,
                spacing_m=spacing_m,
                stops=fit,
                males_expected=best * participation,
                length_m=2 * share[fit - 1] * line.length_m,
                line_m=_along(line.line_m, SPACE_STEP_M)[: stops[fit - 1] + 2],
            )
        )
    return walks


def _worth(chance: FloatArray, males: FloatArray, factor: FloatArray) -> float:
    return float(males @ (1 - np.prod(1 - chance * factor[:, None], axis=0)))


def _along(line_m: FloatArray, every_m: float) -> FloatArray:
    return points_along(line_m, np.arange(0, distances_along(line_m)[-1] + 1e-6, every_m))


def _compass(away_m: FloatArray) -> str:
    names = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
    return names[int(np.round(np.degrees(np.arctan2(away_m[0], away_m[1])) / 45)) % 8]
