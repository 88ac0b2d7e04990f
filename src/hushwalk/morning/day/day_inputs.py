"""What a day is played with: birds, ear, search and timetable, taken from a morning and from a plan of it.

The playing is day_worth.py's.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.birds.search.search_effort import effort_of
from hushwalk.birds.search.search_plan import SearchParams, StraightWalk
from hushwalk.birds.search.search_story import HOURS
from hushwalk.grid.grid import Grid
from hushwalk.habitat.density import males_on
from hushwalk.hearing.availability import hour_factor
from hushwalk.hearing.coverage import Coverage
from hushwalk.morning.day.day_figures import day_figure
from hushwalk.morning.day.day_walk import DayWalk, with_planned_legs
from hushwalk.morning.day.day_worth import DayParams
from hushwalk.morning.day.drawn_days import BirdGround
from hushwalk.morning.day.late_search import LateSearch
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import CAR, MorningProblem
from hushwalk.planning.model.plan import Plan
from hushwalk.site.detectability import Detectability, availability_at
from hushwalk.types import BoolArray, FloatArray

LONGER_MIN = 60  # judgement: birds are drawn for an hour more than the morning lasts, for walkers who are late
ROUND_STOPS_M = 1000.0  # judgement: reach of the ear and some more; birds farther off change nothing


def bird_ground(morning: Morning, grid: Grid, near: BoolArray | None = None) -> BirdGround:
    """Say where males live and when they drum.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    grid : of the cells.
    near : shape (grid.n_cells,), cells whose males matter; all if not given.

    Returns
    -------
    BirdGround
    """
    clock, display = morning.clock, morning.detectability.display
    first_min = int(np.floor((clock.earliest_s - clock.sunrise_s) / 60))
    last_min = int(np.ceil((clock.latest_s - clock.sunrise_s) / 60)) + LONGER_MIN
    minutes = np.arange(first_min, last_min)
    available = availability_at(morning.detectability, morning.site, clock, np.array([clock.sunrise_s]), 0.0)
    males = males_on(morning.site.density, grid)
    return BirdGround(
        grid=grid,
        males=males if near is None else np.where(near, males, 0.0),
        participation=float(available.participation),
        first_min=first_min,
        activity=display.bout_share * hour_factor(display, minutes + 0.5, clock.day_min),
        bouts=display.bouts,
    )


def cells_near(grid: Grid, places_m: FloatArray) -> BoolArray:
    """Cells within reach of some places, shape (grid.n_cells,)."""
    rows, cols = np.divmod(np.arange(grid.n_cells), grid.n_cols)
    xy = grid.xy(rows, cols)
    near = np.zeros(grid.n_cells, dtype=bool)
    for place in np.asarray(places_m).reshape(-1, 2):
        near |= np.hypot(*(xy - place).T) <= ROUND_STOPS_M
    return near


def day_params(morning: Morning, ground: BirdGround) -> DayParams:
    """Gather hours, ear and search of a morning."""
    return DayParams(ground.activity, morning.settings.walker.bearing_error_deg, late_search_of(morning))


def late_search_of(morning: Morning) -> LateSearch:
    """How long and how the late morning is searched, as the trip file or the usual figures have it; in no evening."""
    settings, clock, params = morning.settings, morning.clock, SearchParams()
    effort = effort_of(settings.search.log_seen_from_m, settings.search.pace_ms)
    minutes = 0.0 if clock.evening else 60 * HOURS
    if not clock.evening and settings.search.until is not None:
        until = clock.midnight.replace(hour=settings.search.until.hour, minute=settings.search.until.minute)
        begin = max(clock.sunrise_s + 3600 * params.after_sunrise_h, clock.latest_s)
        minutes = max((clock.seconds(until) - begin) / 60, 0.0)
    car = morning.site.car.xy_m
    return LateSearch(
        minutes=minutes,
        start_m=(float(car[0]), float(car[1])),
        end_m=(float(car[0]), float(car[1])),
        walk_ms=StraightWalk().speed_ms,
        sweep_ms=effort.sweep_m * effort.pace_ms / (1 + effort.turning),
        minutes_at_log=effort.minutes_at_log,
        held=day_figure("placing", "held"),
    )


def heard_by_level(detectability: Detectability, heard: Coverage, posts: Sequence[int]) -> FloatArray:
    """Chance to hear one drum from each cell at some posts, at each level of evidence that is planned with.

    Parameters
    ----------
    detectability : with the weights of the levels.
    heard : chance at the level of the soundscape, of all posts.
    posts : rows of it, s of them.

    Returns
    -------
    ndarray
        Shape (levels, s, n_cells), 0..1.
    """
    return np.array([np.asarray(one.chance[list(posts)].todense()) for _, one in detectability.at_levels(heard)])


def light_off_trail_min(morning: Morning) -> float:
    """Minute from sunrise from which one may leave trails: civil dawn, or any where the person leaves them by lamp."""
    clock = morning.clock
    dark = morning.settings.morning.off_trail_in_the_dark
    return -np.inf if dark else (clock.civil_dawn_s - clock.sunrise_s) / 60


def walk_of_plan(morning: Morning, morning_problem: MorningProblem, plan: Plan, closing_in_min: float) -> DayWalk:
    """Turn a plan of the solver into the timetable that is played.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : posts, times and chances.
    plan : of that problem, with a stop at least.
    closing_in_min : minutes kept for closing in [min].

    Returns
    -------
    DayWalk
    """
    visits, clock, times = plan.visits, morning.clock, morning_problem.times
    start = morning_problem.problem.start
    places = [start, *(visit.post for visit in visits)]
    departs = [plan.depart_s, *(visit.leave_s for visit in visits)]
    arrives = [*(visit.arrive_s for visit in visits), plan.back_s]
    by_day = times.day_s[np.ix_(places, [CAR, *places[1:]])] / 60  # the way back is to the car
    legs = list(zip(places, [*places[1:], CAR], strict=True))

    def minutes(seconds: Sequence[float]) -> FloatArray:
        return (np.array(seconds, dtype=float) - clock.sunrise_s) / 60

    return DayWalk(
        depart_min=float(minutes([plan.depart_s])[0]),
        stops_m=morning_problem.posts_xy[[visit.post - 1 for visit in visits]].reshape(-1, 2),
        column=np.array([visit.post - 1 for visit in visits], dtype=np.int64),
        arrive_min=minutes(arrives[:-1]),
        leave_min=minutes(departs[1:]),
        stand_min=np.array([visit.dwell_s / 60 for visit in visits]),
        walk_min=with_planned_legs(by_day, minutes(departs).tolist(), minutes(arrives).tolist()),
        promise_min=float(minutes([clock.latest_s])[0]),
        closing_in_min=closing_in_min,
        light_min=light_off_trail_min(morning),
        reserve=morning.settings.walker.reserve,
        lines_m=tuple(times.path(a, b).line_m for a, b in legs),
    )
