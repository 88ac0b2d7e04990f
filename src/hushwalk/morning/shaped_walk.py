"""Evaluates a walk that a person shapes by hand: exactly what it hears, when it is where, and by when to turn back.

Nothing is searched here; the best walk that keeps to what a person wants is solved_plan.py's.
"""

from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.grid.points import to_metres
from hushwalk.morning.heard_in_bouts import gains_in_bouts
from hushwalk.morning.known_places import KnownPlaces
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import CAR, MorningProblem, problem_of, way_line
from hushwalk.morning.wishes import check_stand
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import leave_late, plan_of
from hushwalk.types import FloatArray
from hushwalk.walking.graph import in_the_dark
from hushwalk.walking.lines import draw_line, place_seconds
from hushwalk.walking.shortest_paths import reach_from
from hushwalk.walking.times import TravelTimes


@dataclass(frozen=True)
class WalkShape:
    """A walk as a person shapes it.

    Parameters
    ----------
    places : longitude and latitude of each stop, in walking order [deg].
    minutes : how long one listens at each [min].
    waits : how long one waits at each before listening [min].
    first_begin_s : when the first stop begins, if it can be reached by then [s].
    kept_free_s : time that is kept free for closing in [s].
    """

    places: tuple[tuple[float, float], ...]
    minutes: tuple[float, ...]
    waits: tuple[float, ...]
    first_begin_s: float
    kept_free_s: float = 0.0


@dataclass(frozen=True, eq=False)
class ShapedWalk:
    """What a shaped walk gives.

    Parameters
    ----------
    plan : every time and stop.
    males : expected to be heard, each followed through his bouts.
    gains : males that each stop adds.
    latest_leave_s : last moment to leave each stop straight for the car [s].
    lines_m : of the legs, from the start over all stops to the car, each of shape (k, 2) [m].
    late_s : by how much it is back too late; 0 where it is in time [s].
    taken_s : how much it takes of what is kept free for closing in [s].
    """

    plan: Plan
    males: float
    gains: tuple[float, ...]
    latest_leave_s: tuple[float, ...]
    lines_m: tuple[FloatArray, ...] = field(repr=False)
    late_s: float = 0.0
    taken_s: float = 0.0


def walk_of_plan(morning: Morning, morning_problem: MorningProblem, plan: Plan) -> ShapedWalk:
    """Give what a plan gives in the form of a shaped walk.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : that was solved.
    plan : of it.

    Returns
    -------
    ShapedWalk
    """
    problem = morning_problem.problem
    gains = gains_in_bouts(problem, plan.visits, morning_problem.bouts)
    places = [problem.start, *plan.posts, CAR]
    departs = [plan.depart_s, *(visit.leave_s for visit in plan.visits)]
    return ShapedWalk(
        plan,
        plan.passing + float(gains.sum()),
        tuple(gains.tolist()),
        latest_leaves_straight(morning, morning_problem, plan),
        tuple(way_line(morning_problem, leg, at).line_m for leg, at in zip(pairwise(places), departs, strict=True)),
    )


def latest_leaves_straight(morning: Morning, morning_problem: MorningProblem, plan: Plan) -> tuple[float, ...]:
    """Give the last moment to leave each stop straight for the car [s].

    Parameters
    ----------
    morning : with its clock.
    morning_problem : that the stops belong to.
    plan : of it.

    Returns
    -------
    tuple of float
    """
    by_s = morning.clock.latest_s
    return tuple(float(morning_problem.latest_leave_s((visit.post, CAR), by_s)) for visit in plan.visits)


Place = tuple[float, float]


@dataclass(frozen=True, eq=False)
class _Way:
    """The quickest way between two places in one light; infinite and without nodes where there is none."""

    seconds: float
    nodes: list[int] = field(repr=False)


class WalkShaper:
    """Evaluates walks of one morning; what was worked out for a place or a leg is kept.

    Parameters
    ----------
    morning : ground, clock, hearing and ways, with nothing kept free.
    known : what was worked out for its places before.
    """

    def __init__(self, morning: Morning, known: KnownPlaces | None = None) -> None:
        self.morning = morning
        self._known = known or KnownPlaces()
        self._day = morning.way.graph
        self._dark = in_the_dark(self._day, off_trail=morning.settings.morning.off_trail_in_the_dark)
        self._ways: dict[tuple[bool, Place, Place], _Way] = {}
        self._lines: dict[tuple[bool, Place, Place], FloatArray] = {}

    def evaluate(self, shape: WalkShape) -> ShapedWalk:
        """Give what a walk gives, exactly as a plan counts it.

        Raises
        ------
        PlaceError
            If a stop lies off the ground of the trip.
        SettingsError
            If nobody stands at a stop.
        NoPlanError
            If there is no way between two stops.
        """
        morning = replace(self.morning, kept_free_s=shape.kept_free_s)
        stops_m = to_metres(morning.site.grid.epsg, np.array(shape.places).reshape(-1, 2))
        for k, place in enumerate(stops_m, start=1):
            check_stand(morning, place, f"stop {k}")
        start = [] if morning.start_m is None else [morning.start_m]
        posts_m = np.vstack([*start, stops_m])
        times = self._times(posts_m, len(start))
        heard = self._known.heard.coverage(morning.detectability.soundscape, posts_m)
        morning_problem = problem_of(morning, posts_m, times, heard)
        problem = replace(morning_problem.problem, start=len(start), forbidden=tuple(range(1, len(start) + 1)))
        morning_problem = replace(morning_problem, problem=problem)
        plan = timed_plan(problem, shape, len(start))
        gains = gains_in_bouts(problem, plan.visits, morning_problem.bouts)
        return ShapedWalk(
            plan,
            plan.passing + float(gains.sum()),
            tuple(gains.tolist()),
            latest_leaves_straight(morning, morning_problem, plan),
            self._walked(morning_problem, plan),
            max(0.0, plan.back_s - morning.due_s),
            min(max(0.0, plan.back_s - morning.last_s), shape.kept_free_s),
        )

    def _times(self, posts_m: FloatArray, start: int) -> TravelTimes:
        """Times of the legs of the walk alone, and of the ways back to the car; all others are infinite."""
        places_m = np.vstack([self.morning.site.car.xy_m, posts_m])
        order = [start, *range(1 + start, len(places_m)), CAR]
        day_s, dark_s = (np.full((len(places_m), len(places_m)), np.inf) for _ in range(2))
        for here, there in pairwise(order):
            targets = dict.fromkeys((there, CAR)) if here != CAR else {there: None}
            for table, dark in ((day_s, False), (dark_s, True)):
                for k, way in zip(targets, self._found(dark, places_m[here], places_m[list(targets)]), strict=True):
                    table[here, k] = way.seconds
        for table in (day_s, dark_s):
            np.fill_diagonal(table, 0.0)
        for k, (here, there) in enumerate(pairwise(order)):
            if here != there and not np.isfinite(day_s[here, there]):
                raise NoPlanError(
                    f"there is no way on foot {_leg_words(k, len(order) - 1)}: water, cliffs, closed ground or a line "
                    "not to cross lie between"
                )
        nodes = np.zeros(len(places_m), np.int32)
        names = tuple(f"place {k}" for k in range(len(places_m)))
        return TravelTimes(places_m, names, nodes, day_s, dark_s, self._day, self._dark)

    def _found(self, dark: bool, here_m: FloatArray, there_m: FloatArray) -> list[_Way]:
        """The quickest ways from a place to some others, in one search for all that are new."""
        graph, here = self._dark if dark else self._day, _place(here_m)
        limit_s = self.morning.clock.window_s
        new = [xy for xy in there_m if (dark, here, _place(xy)) not in self._ways]
        if new:
            source = graph.node_at(here_m, "a stop")
            targets = np.array([graph.node_at(xy, "a stop") for xy in new], np.int32)
            reach = reach_from(graph, source, limit_s=limit_s, targets=targets)
            out_s = place_seconds(graph, here_m, source, leaving=True)
            for xy, node in zip(new, targets.tolist(), strict=True):
                seconds = float(reach.seconds[node]) + out_s + place_seconds(graph, xy, node, leaving=False)
                way = _Way(seconds, reach.nodes_to(node)) if seconds <= limit_s else _Way(np.inf, [])
                self._ways[dark, here, _place(xy)] = way
        return [self._ways[dark, here, _place(xy)] for xy in there_m]

    def _walked(self, morning_problem: MorningProblem, plan: Plan) -> tuple[FloatArray, ...]:
        """Lines of the legs, each in the light that it is walked in."""
        times = morning_problem.times
        places = [morning_problem.problem.start, *plan.posts, CAR]
        departs = [plan.depart_s, *(visit.leave_s for visit in plan.visits)]
        lines = []
        for (a, b), depart_s in zip(pairwise(places), departs, strict=True):
            dark = morning_problem.in_dark((a, b), depart_s)
            lines.append(self._line(dark, times.posts_xy_m[a], times.posts_xy_m[b]))
        return tuple(lines)

    def _line(self, dark: bool, here_m: FloatArray, there_m: FloatArray) -> FloatArray:
        key = (dark, _place(here_m), _place(there_m))
        if key not in self._lines:
            graph, way = self._dark if dark else self._day, self._ways[key]
            self._lines[key] = draw_line(graph, way.nodes, way.seconds, here_m, there_m).line_m
        return self._lines[key]


def timed_plan(problem: Problem, shape: WalkShape, start: int) -> Plan:
    """Give the plan of a shaped walk, which may be back too late.

    Parameters
    ----------
    problem : of the stops in walking order; post ``start + 1`` is the first of them.
    shape : with minutes and waits; waiting is left out, the last first, where the walk would else be late.
    start : places before the first stop that are no stops.

    Returns
    -------
    Plan
    """
    dwell_s = np.array(problem.dwell_s)
    count = len(shape.places)
    choices = [int(np.argmin(np.abs(dwell_s - 60.0 * minutes))) for minutes in shape.minutes]
    stops = np.array([range(start + 1, start + 1 + count), choices], np.int64).reshape(2, count)
    waits = np.array([0.0, *(60.0 * minutes for minutes in shape.waits)])
    soonest = plan_of(problem, stops, np.zeros(count + 1))
    if count:
        waits[1] = max(0.0, shape.first_begin_s - soonest.visits[0].arrive_s)
    plan = plan_of(problem, stops, waits)
    for k in range(count, 0, -1):
        late_s = plan.back_s - problem.latest_s
        if late_s <= 0 or not waits.any():
            break
        if waits[k] == 0:
            continue
        waits[k] = max(0.0, waits[k] - late_s)
        plan = plan_of(problem, stops, waits)
    return leave_late(problem, plan)


def _leg_words(k: int, last: int) -> str:
    if k == 0:
        return "from the start to stop 1"
    return f"from stop {k} to the car" if k == last else f"from stop {k} to stop {k + 1}"


def _place(xy_m: FloatArray) -> Place:
    return (float(xy_m[0]), float(xy_m[1]))
