"""Plans the rest of a walk: "I am at stop 4 and late".

Where the stops of the plan that is being walked are is walked.py's business; the first plan itself is story.py's story.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta, tzinfo
from pathlib import Path
from typing import NamedTuple

import numpy as np

from hushwalk.errors import NoPlanError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import parse_place, to_metres
from hushwalk.morning.describe import StartState
from hushwalk.morning.heeded_notes import heed_notes
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.morning.morning_problem import APART, MorningProblem, build_problem, posts_of
from hushwalk.morning.outlook import budget_curve_of
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.posts import post_params
from hushwalk.morning.report import PlainWalk, Report
from hushwalk.morning.solved_plan import RunParams, solved
from hushwalk.morning.story import report_of
from hushwalk.morning.straight_back import TooLateError, straight_back
from hushwalk.morning.wishes import (
    effect_of_wishes,
    shorter_walk,
    wished_places,
    wished_problem,
    with_lines_closed,
)
from hushwalk.notes.planned_walk import PlannedStop
from hushwalk.planning.analysis.rest_of_walk import rest_of
from hushwalk.planning.model.plan import Result, Visit
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import availability_at
from hushwalk.site.settings import NOON, MorningSettings, TripSettings
from hushwalk.site.wish_settings import WishSettings
from hushwalk.types import BoolArray, FloatArray
from hushwalk.worker import Pending

CAR_NAME = "CAR"
"""Definition: what the car is called where a stop is named."""


def replan(
    settings: TripSettings,
    walk: tuple[PlannedStop, ...],
    at: str,
    now: time,
    params: RunParams | None = None,
    progress: Progress = quiet,
    without: tuple[str, ...] = (),
    notes: Path | None = None,
) -> Report:
    """Plan what is left of a walk.

    Parameters
    ----------
    settings : what the trip file says.
    walk : stops of the plan that is being walked.
    at : name of the stop where one stands, it and all before it are done; or ``"CAR"``, before one sets out.
    now : wall-clock time.
    params : how long to think.
    progress : is told as each step begins.
    without : stops of the plan that are left out; no stop is near them either.
    notes : the ledger, which is heeded as in a plan; None for none.

    Returns
    -------
    Report
        Of what is left, and what leaving stops out costs.

    Raises
    ------
    SettingsError
        If the plan has no such stop, or one that is left out is done.
    TooLateError
        If no walk with another stop, or by the stops that must be, is back in time; it says how to come home.
    """
    names = [stop.name for stop in walk]
    for name in (at, *without):
        if name not in names and (name != CAR_NAME or name in without):
            raise SettingsError(f"the plan has no stop {name!r}; its stops are {', '.join(names)}")
    made = walk[: names.index(at) + 1] if at != CAR_NAME else ()
    if done := [name for name in without if name in names[: len(made)]]:
        raise SettingsError(f"stop {done[0]} is done by the time you stand at {at}; leave out a later one")
    must = settings.wishes.must
    settings = shorter_walk(replace(settings, wishes=replace(settings.wishes, must=(), start=None)))
    morning = heed_notes(with_lines_closed(look_round(settings, progress)), notes, progress).morning
    to_come, not_stood = stops_to_come(walk[len(made) :], morning.site.grid, morning.way.no_stop)
    moment = _moment(settings.morning, now, morning.clock.midnight.tzinfo)
    now_s = morning.clock.seconds(moment)
    home = straight_back(morning, made, moment)
    if home.back >= home.due:
        raise TooLateError(home)
    try:
        report = _planned_rest(morning, _UnderWay(walk, made, to_come, now_s, must, without), params, progress)
    except NoPlanError as fault:
        raise TooLateError(home, str(fault)) from fault
    return replace(report, not_stood=not_stood)


class _UnderWay(NamedTuple):
    """A walk under way: its stops, made and to come, the clock now, and places that must be or are left out."""

    walk: tuple[PlannedStop, ...]
    made: tuple[PlannedStop, ...]
    to_come: tuple[PlannedStop, ...]
    now_s: float
    must: tuple[str, ...]
    without: tuple[str, ...]


def _planned_rest(morning: Morning, under_way: _UnderWay, params: RunParams | None, progress: Progress) -> Report:
    walk, made, to_come, now_s, must, without = under_way
    settings = morning.settings
    progress(Step("working out what is heard from each post"))
    extra = _musts_off_plan(morning, walk, must)
    kept = (*made, *to_come, *extra)
    morning_problem = wished_problem(morning, build_problem(morning, _posts(morning, kept)))
    wanted = _musts_to_come(morning, kept, must, len(made), without)
    visits = _visits(morning, morning_problem, made)
    left = replace(morning_problem, problem=rest_of(morning_problem.problem, visits, now_s, len(made)))
    left = with_must_visits(left, tuple(wanted))
    progress(Step("choosing what is left"))
    result, effect = _solved(morning, left, settings, params or RunParams(), tuple(wanted.values())), None
    if without:
        before = left, result.plan
        left = _left_out(morning, left, [k for k, stop in enumerate(kept, start=1) if stop.name in without])
        result = _solved(morning, left, settings, params or RunParams(), tuple(wanted.values()))
        bare = replace(settings, wishes=WishSettings())
        effect = replace(effect_of_wishes(bare, left, result.plan, before), without=without)
    curve = Pending(lambda: budget_curve_of(left, settings.seed))
    start = StartState(len(made), made[-1].name if made else CAR_NAME, len(made))
    report = report_of(morning, left, result, PlainWalk(PlainWalkKind.UNDER_WAY), curve, start)
    return replace(report, wish_effect=effect)


def _moment(morning: MorningSettings, now: time, zone: tzinfo | None) -> datetime:
    """The moment of a clock reading on the walk; an evening may go on after midnight."""
    when = datetime.combine(morning.date, now, zone)
    return when + timedelta(days=1) if morning.evening and now < NOON else when


def _places_m(morning: Morning, stops: Sequence[PlannedStop]) -> FloatArray:
    epsg = morning.site.grid.epsg
    return np.array([to_metres(epsg, (stop.lon_deg, stop.lat_deg)) for stop in stops]).reshape(-1, 2)


def _nearest(morning: Morning, stops: Sequence[PlannedStop], must: tuple[str, ...]) -> list[int | None]:
    """The stop at each place of a stop that must be; None where none is near enough to hear nearly the same."""
    apart_m = APART * post_params(morning.settings, morning.detectability).spacing_m
    wanted = wished_places(morning.site.grid, must, "wishes.must")
    away = np.hypot(*(wanted[:, None] - _places_m(morning, stops)[None]).transpose(2, 0, 1))
    return [int(row.argmin()) if row.size and row.min() < apart_m else None for row in away]


def _musts_off_plan(morning: Morning, walk: Sequence[PlannedStop], must: tuple[str, ...]) -> list[PlannedStop]:
    """Stops that must be and that the plan does not have, as it was made without them."""
    never = datetime.combine(morning.settings.morning.date, time(), morning.clock.midnight.tzinfo)
    places = [parse_place(said) for said in must]
    near = _nearest(morning, walk, must)
    return [PlannedStop(said, *xy, never, never) for said, xy, k in zip(must, places, near, strict=True) if k is None]


def _musts_to_come(
    morning: Morning, kept: Sequence[PlannedStop], must: tuple[str, ...], made: int, without: tuple[str, ...]
) -> dict[int, str]:
    """Posts that must still be visited and the wish behind each; done ones and those left out are free."""
    found = {}
    for said, k in zip(must, _nearest(morning, kept, must), strict=True):
        if k is not None and k >= made and kept[k].name not in without:
            found[k + 1] = said
    return found


def with_must_visits(left: MorningProblem, posts: tuple[int, ...]) -> MorningProblem:
    """Give a problem that must visit some posts, however near to one another they are."""
    problem = left.problem
    between = np.isin(problem.conflicts, posts).all(axis=1)
    forbidden = tuple(post for post in problem.forbidden if post not in posts)
    wished = replace(problem, must_visit=posts, forbidden=forbidden, conflicts=problem.conflicts[~between])
    return replace(left, problem=wished)


def _solved(
    morning: Morning, left: MorningProblem, settings: TripSettings, params: RunParams, must: tuple[str, ...]
) -> Result:
    try:
        return solved(morning.site, left, (), settings, params)
    except NoPlanError:
        if not must:
            raise NoPlanError("from here no walk with another stop is back in time") from None
        raise NoPlanError(
            f"from here no walk by {' and '.join(must)} is back in time; leave the stop there out with --without, or "
            "take the place out of wishes.must"
        ) from None


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


def _left_out(morning: Morning, left: MorningProblem, posts: list[int]) -> MorningProblem:
    """The same problem without some posts and those that hear nearly the same birds."""
    away = np.hypot(*(left.posts_xy[:, None] - left.posts_xy[[post - 1 for post in posts]]).transpose(2, 0, 1))
    near = np.flatnonzero((away < APART * post_params(morning.settings, morning.detectability).spacing_m).any(axis=1))
    forbidden = {*left.problem.forbidden, *posts, *(near + 1).tolist()} - {left.problem.start, *left.problem.must_visit}
    return replace(left, problem=replace(left.problem, forbidden=tuple(sorted(forbidden))))


def _posts(morning: Morning, walk: tuple[PlannedStop, ...]) -> FloatArray:
    """The stops of the plan first, in its order, then all other posts that are not too near to one of them."""
    others = posts_of(morning)
    if not walk:
        return others
    planned = np.array([to_metres(morning.site.grid.epsg, (stop.lon_deg, stop.lat_deg)) for stop in walk])
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
