"""Plans the rest of a walk: "I am at stop 4 and late".

Where the stops of the plan that is being walked are is walked.py's business; the first plan itself is story.py's story.
"""

from dataclasses import replace
from datetime import datetime, time

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres
from hushwalk.morning.describe import StartState
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.morning.morning_problem import APART, MorningProblem, build_problem, posts_of
from hushwalk.morning.outlook import budget_curve_of
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.posts import post_params
from hushwalk.morning.report import PlainWalk, Report
from hushwalk.morning.story import RunParams, report_of, solved
from hushwalk.notes.planned_walk import PlannedStop
from hushwalk.planning.analysis.several import rest_of
from hushwalk.planning.model.plan import Visit
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import availability_at
from hushwalk.site.settings import TripSettings
from hushwalk.types import BoolArray, FloatArray
from hushwalk.worker import Pending


def replan(
    settings: TripSettings,
    walk: tuple[PlannedStop, ...],
    at: str,
    now: time,
    params: RunParams | None = None,
    progress: Progress = quiet,
) -> Report:
    """Plan what is left of a walk.

    Parameters
    ----------
    settings : what the trip file says.
    walk : stops of the plan that is being walked.
    at : name of the stop where one stands; it and all before it are done.
    now : wall-clock time.
    params : how long to think.
    progress : is told as each step begins.

    Returns
    -------
    Report
        Of what is left.

    Raises
    ------
    SettingsError
        If the plan has no such stop, or it is too late to be back in time.
    NoPlanError
        If one cannot be back in time from here.
    """
    names = [stop.name for stop in walk]
    if at not in names:
        raise SettingsError(f"the plan has no stop {at!r}; its stops are {', '.join(names)}")
    made = walk[: names.index(at) + 1]
    morning = look_round(settings, progress)
    to_come, not_stood = stops_to_come(walk[len(made) :], morning.site.grid, morning.way.no_stop)
    now_s = morning.clock.seconds(datetime.combine(settings.morning.date, now, morning.clock.midnight.tzinfo))
    if now_s >= morning.clock.latest_s:
        raise SettingsError(f"it is {now:%H:%M}, and you should have been back at the car by now; go straight back")
    progress(Step("working out what is heard from each post"))
    morning_problem = build_problem(morning, _posts(morning, (*made, *to_come)))
    visits = _visits(morning, morning_problem, made)
    left = replace(morning_problem, problem=rest_of(morning_problem.problem, visits, now_s, len(made)))
    progress(Step("choosing what is left"))
    result = solved(morning.site, left, (), settings, params or RunParams())
    curve = Pending(lambda: budget_curve_of(left, settings.seed))
    start = StartState(len(made), at, len(made))
    report = report_of(morning, left, result, PlainWalk(PlainWalkKind.UNDER_WAY), curve, start)
    return replace(report, not_stood=not_stood)


def stops_to_come(
    stops: tuple[PlannedStop, ...], grid: Grid, no_stop: BoolArray
) -> tuple[tuple[PlannedStop, ...], tuple[str, ...]]:
    """Part the stops that are still to come by whether one may stand there.

    Parameters
    ----------
    stops : of the plan that is being walked.
    grid : of the trip.
    no_stop : shape grid.shape, where nobody stands and listens.

    Returns
    -------
    tuple
        Stops that are kept, and names of those that are left out.
    """
    places_m = [np.atleast_2d(to_metres(grid.epsg, (stop.lon_deg, stop.lat_deg))) for stop in stops]
    off = [bool(grid.contains(xy)[0]) and bool(no_stop[grid.rowcol(xy)][0]) for xy in places_m]
    kept = tuple(stop for stop, left_out in zip(stops, off, strict=True) if not left_out)
    return kept, tuple(stop.name for stop, left_out in zip(stops, off, strict=True) if left_out)


def _posts(morning: Morning, walk: tuple[PlannedStop, ...]) -> FloatArray:
    """The stops of the plan first, in its order, then all other posts that are not too near to one of them."""
    planned = np.array([to_metres(morning.site.grid.epsg, (stop.lon_deg, stop.lat_deg)) for stop in walk])
    others = posts_of(morning)
    apart_m = APART * post_params(morning.settings, morning.detectability).spacing_m
    far = np.hypot(*(others[:, None] - planned[None]).transpose(2, 0, 1)).min(axis=1) >= apart_m
    return np.vstack([planned, others[far]])


def _visits(morning: Morning, morning_problem: MorningProblem, made: tuple[PlannedStop, ...]) -> tuple[Visit, ...]:
    dwell_s = np.array(morning_problem.problem.dwell_s)
    visits = []
    for post, stop in enumerate(made, start=1):
        begin, leave = morning.clock.seconds(stop.begin), morning.clock.seconds(stop.leave)
        choice = int(np.argmin(np.abs(dwell_s - (leave - begin))))
        available = availability_at(
            morning.detectability, morning.site, morning.clock, np.array([begin]), dwell_s[choice]
        )
        factor = float((available.hour_factor * available.cue)[0])
        visits.append(Visit(post, begin, begin, leave, choice, float(dwell_s[choice]), factor, 0.0))
    return tuple(visits)
