"""Quiet ways from a stop towards ground that probably holds a male, off the line to it, and stands to the side of it.

Which ground that is is likely_ground.py's; when one may go there closing_times.py's.
"""

from dataclasses import dataclass, field
from itertools import pairwise, product
from typing import NamedTuple

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import distances_along, points_along
from hushwalk.morning.posts import PostParams
from hushwalk.notes.figures import figure
from hushwalk.science.crossing import azimuth_to, turned
from hushwalk.types import BoolArray, FloatArray
from hushwalk.walking.graph import WalkGraph
from hushwalk.walking.lines import WalkLine, draw_line
from hushwalk.walking.shortest_paths import Reach, reach_from

LONGEST_S = 1200.0  # judgement: a way in of more than twenty minutes leaves none of a try to listen in
TURNS_DEG = (0.0, -5.0, 5.0, -10.0, 10.0)  # judgement: so far off the usual angle, where no side lets one in at it
OUT_M = (100.0, 130.0, 160.0, 200.0)  # judgement: from where a bearing still says much, nearest first
MALE_S = 3600.0  # judgement: an hour's walk rather than one male disturbed on the way
SLACK_M = 5.0  # judgement: a line on a grid may come so much nearer than the place where one stops
EVERY_M = 20.0  # judgement: density changes little within a cell or two


@dataclass(frozen=True, eq=False)
class QuietGround:
    """The ground that ways lie on.

    Parameters
    ----------
    graph : where to walk, by daylight.
    density_per_km2 : displaying males.
    stand_off_m : kept to ground that probably holds a log, by planned places [m].
    no_stop : shape of the graph's grid, where nobody stands and listens.
    """

    graph: WalkGraph = field(repr=False)
    density_per_km2: Layer = field(repr=False)
    stand_off_m: float
    no_stop: BoolArray = field(repr=False)


@dataclass(frozen=True, eq=False)
class QuietWay:
    """A way from a stop.

    Parameters
    ----------
    turn_deg : from the line to the ground to the way, clockwise above 0 [deg].
    line_m : shape (k, 2), in walking order [m].
    length_m, seconds : of the way.
    crossing_deg : angle at the ground between the lines from the stop and from the end.
    fords : streams to wade.
    """

    turn_deg: float
    line_m: FloatArray = field(repr=False)
    length_m: float
    seconds: float
    crossing_deg: float
    fords: int

    @property
    def end_m(self) -> FloatArray:
        """Where it ends, shape (2,) [m]."""
        return np.asarray(self.line_m[-1])


def reach_of_stop(country: QuietGround, stop_m: FloatArray) -> Reach:
    """Search the ways from a stop, as far as any try leads."""
    return reach_from(country.graph, country.graph.node_at(stop_m, "a stop"), limit_s=LONGEST_S)


def way_in(country: QuietGround, reach: Reach, stop_m: FloatArray, ground_m: FloatArray) -> QuietWay | None:
    """Find the quiet way in: off the line by about 35 degrees on the better side, ending 65 m from the ground.

    Parameters
    ----------
    country : the ground that ways lie on.
    reach : of the stop.
    stop_m, ground_m : shape (2,), the stop and the ground that probably holds a male [m].

    Returns
    -------
    QuietWay or None
        None where no way on either side keeps off the ground.

    Notes
    -----
    On the side line one walks to where the ground lies nearest, or to where it is 65 m off, whichever is first; from
    there straight towards it. The sides differ by the time of the way and by the males that live near it; another angle
    is tried only where neither side has a way at the usual one.
    """
    end_m, off_deg = figure("closing_in", "end_m"), figure("closing_in", "off_line_deg")
    tries = []
    for turn, side in product(TURNS_DEG, (-1.0, 1.0)):
        turn_deg = side * (off_deg + turn)
        corners_m = np.array([stop_m, *_bend_and_end(stop_m, ground_m, turn_deg, end_m)])
        tries.append(_Try(abs(turn), _cost(country, reach, corners_m), turn_deg, corners_m))
    return _first_quiet(country, reach, ground_m, end_m - SLACK_M, tries)


def side_stand(country: QuietGround, reach: Reach, stop_m: FloatArray, ground_m: FloatArray) -> QuietWay | None:
    """Find the place to the side that is reached first, from where a bearing crosses at 60 to 90 degrees.

    Parameters
    ----------
    country : the ground that ways lie on.
    reach : of the stop.
    stop_m, ground_m : shape (2,), the stop and the ground that probably holds a male [m].

    Returns
    -------
    QuietWay or None
        Never nearer to the ground than the stand-off, and not where another log is likely; None where there is none.
    """
    low_deg, high_deg = figure("closing_in", "crossing_low_deg"), figure("closing_in", "crossing_high_deg")
    towards, back, tries = azimuth_to(stop_m, ground_m), azimuth_to(ground_m, stop_m), []
    for out_m, crossing, side in product(OUT_M, ((low_deg + high_deg) / 2, low_deg, high_deg), (-1.0, 1.0)):
        place = ground_m + max(out_m, country.stand_off_m) * _unit(back + side * crossing)
        if _inside(country, place) and _quiet(country, place):
            corners_m = np.array([stop_m, place])
            turn_deg = float(turned(azimuth_to(stop_m, place) - towards))
            tries.append(_Try(0.0, _cost(country, reach, corners_m), turn_deg, corners_m))
    return _first_quiet(country, reach, ground_m, country.stand_off_m - SLACK_M, tries)


class _Try(NamedTuple):
    """A way that may be taken: first by how far off the usual angle it is, then by its cost."""

    off_deg: float
    cost_s: float
    turn_deg: float
    corners_m: FloatArray


def _first_quiet(
    country: QuietGround, reach: Reach, ground_m: FloatArray, least_m: float, tries: list[_Try]
) -> QuietWay | None:
    """The first of some ways that can be walked and keeps so far off the ground."""
    for one in sorted(tries, key=lambda one: one[:2]):
        found = _drawn(country, reach, one.corners_m) if np.isfinite(one.cost_s) else None
        if found is not None and _keeps_off(found[0], ground_m, least_m):
            line_m, length_m, seconds, fords = found
            lines_deg = azimuth_to(ground_m, one.corners_m[[0, -1]])
            crossing_deg = abs(float(turned(lines_deg[0] - lines_deg[1])))
            return QuietWay(one.turn_deg, line_m, length_m, seconds, crossing_deg, fords)
    return None


def _bend_and_end(
    stop_m: FloatArray, ground_m: FloatArray, turn_deg: float, end_m: float
) -> tuple[FloatArray, FloatArray]:
    """Where the side line comes nearest to the ground, or first as near as one goes, and where one stops."""
    away = ground_m - stop_m
    far_m, towards = float(np.hypot(*away)), float(azimuth_to(stop_m, ground_m))
    turn = np.radians(turn_deg)
    off_m, along_m = far_m * abs(np.sin(turn)), far_m * np.cos(turn)
    if off_m <= end_m:
        bend = stop_m + (along_m - np.sqrt(max(end_m**2 - off_m**2, 0.0))) * _unit(towards + turn_deg)
        return bend, bend
    bend = stop_m + along_m * _unit(towards + turn_deg)
    return bend, ground_m + end_m * (bend - ground_m) / off_m


def _cost(country: QuietGround, reach: Reach, corners_m: FloatArray) -> float:
    """Time to the first corner, as much for each further metre, and what the males near the way are worth [s].

    Infinite where there is no way, or where nobody may stand at its end.
    """
    if not all(_inside(country, corner) for corner in corners_m):
        return float("inf")
    grid = country.graph.ground.grid
    rows, cols = grid.rowcol(corners_m[1:])
    seconds = reach.seconds[rows * grid.n_cols + cols]
    if country.no_stop[rows[-1], cols[-1]] or not np.isfinite(seconds).all():
        return float("inf")
    along = points_along(corners_m, np.arange(0.0, distances_along(corners_m)[-1] + 1e-6, EVERY_M))
    per_km2 = np.nan_to_num(country.density_per_km2.at(along))
    disturbed = float(per_km2.sum()) * EVERY_M * 2 * figure("closing_in", "disturbed_m") / 1e6
    last_m = float(np.hypot(*(corners_m[-1] - corners_m[-2]))) if len(corners_m) > 2 else 0.0  # noqa: PLR2004 - no bend
    first_m = max(float(np.hypot(*(corners_m[1] - corners_m[0]))), EVERY_M)
    return float(seconds[0]) * (1 + last_m / first_m) + MALE_S * disturbed


def _drawn(country: QuietGround, reach: Reach, corners_m: FloatArray) -> tuple[FloatArray, float, float, int] | None:
    """Line, length [m], time [s] and fords of the way over all corners; None where there is none."""
    graph, lines = country.graph, list[WalkLine]()
    for start, end in pairwise(corners_m):
        if np.hypot(*(end - start)) < 1.0:
            continue
        own = reach if not lines else reach_from(graph, graph.node_at(start, "a way in"), limit_s=LONGEST_S)
        grid = graph.ground.grid
        row, col = grid.cell_at(end, "a way in")
        nodes = own.nodes_to(row * grid.n_cols + col)
        if not nodes:
            return None
        lines.append(draw_line(graph, nodes, float(own.seconds[nodes[-1]]), start, end))
    if not lines:
        return None
    line_m = np.vstack([lines[0].line_m, *(one.line_m[1:] for one in lines[1:])])
    fords = sum(one.fords for one in lines)
    return line_m, sum(one.length_m for one in lines), sum(one.graph_seconds for one in lines), fords


def _keeps_off(line_m: FloatArray, ground_m: FloatArray, least_m: float) -> bool:
    along = points_along(line_m, np.arange(0.0, distances_along(line_m)[-1] + 1e-6, 5.0))
    return bool(np.hypot(*(along - ground_m).T).min() >= least_m)


def _quiet(country: QuietGround, place_m: FloatArray) -> bool:
    """Whether a log within the stand-off of a place is less likely than one in ten, by the density there."""
    expected = float(np.nan_to_num(country.density_per_km2.at(place_m))[0]) * np.pi * country.stand_off_m**2 / 1e6
    return bool(1 - np.exp(-expected) <= PostParams.log_chance_max)


def _inside(country: QuietGround, place_m: FloatArray) -> bool:
    return bool(country.graph.ground.grid.contains(np.atleast_2d(place_m))[0])


def _unit(azimuth_deg: FloatArray | float) -> FloatArray:
    azimuth = np.radians(azimuth_deg)
    return np.array([np.sin(azimuth), np.cos(azimuth)])
