"""Gathers what a plan says about closing in: the times at each stop, the likely ground, the ways in, further stops.

The values are closing_in.py's; how the morning is worked was chosen in way_of_working.py.
"""

import numpy as np

from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.closing_in import ClosingIn, LikelyGround, SideStand, StopClosing, WayIn, WaySide
from hushwalk.morning.closing_times import better_before, try_times
from hushwalk.morning.describe import PlanContext
from hushwalk.morning.likely_ground import Sector, likely_sectors
from hushwalk.morning.look_round import Morning
from hushwalk.morning.quiet_ways import QuietGround, QuietWay, reach_of_stop, side_stand, way_in
from hushwalk.morning.unheard_walk import unheard_walk
from hushwalk.morning.way_of_working import Way, WayOfWorking
from hushwalk.notes.figures import figure
from hushwalk.planning.model.plan import Visit
from hushwalk.science.crossing import azimuth_to, turned
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.site import place_of
from hushwalk.types import FloatArray
from hushwalk.walking.shortest_paths import Reach

MINUTE_S = 60.0  # definition


def closing_of(context: PlanContext, morning: Morning, working: WayOfWorking) -> ClosingIn:
    """Say what closing in asks of a solved morning.

    Parameters
    ----------
    context : the plan and all it rests on.
    morning : whose time is kept free.
    working : how the morning is worked.

    Returns
    -------
    ClosingIn
    """
    settings = morning.settings
    closes = working.way is Way.CLOSE_IN
    times = (
        try_times(
            context,
            off_trail_in_the_dark=settings.morning.off_trail_in_the_dark,
        )
        if closes
        else (None,) * len(context.plan.visits)
    )
    ground = QuietGround(morning.way.graph, morning.site.density, settings.walker.stand_off_m, morning.way.no_stop)
    stops = tuple(
        StopClosing(context.start.stop_name(k + 1), one, _grounds(context, ground, k, closes=closes))
        for k, one in enumerate(times)
    )
    unheard = unheard_walk(
        context,
        longest_walk_m=settings.morning.longest_walk_km * 1000,
        seed=settings.seed,
    )
    return ClosingIn(working, context.clock.at(morning.due_s), better_before(context), stops, unheard)


def _grounds(context: PlanContext, ground: QuietGround, k: int, *, closes: bool) -> tuple[LikelyGround, ...]:
    """The likely ground round the k-th stop, counted from 0."""
    visit = context.plan.visits[k]
    stop_m = context.morning_problem.posts_xy[visit.post - 1]
    places_m, males = _heard_from(context, visit)
    sectors = likely_sectors(stop_m, places_m, males, ground.stand_off_m)
    reach = reach_of_stop(ground, stop_m)
    return tuple(_ground(context, ground, reach, k, sector, closes=closes) for sector in sectors)


def _heard_from(context: PlanContext, visit: Visit) -> tuple[FloatArray, FloatArray]:
    """Places in earshot of a stop, shape (n, 2) [m], and the males expected to be heard from each, shape (n,)."""
    morning_problem = context.morning_problem
    row, grid = morning_problem.heard.chance[[visit.post - 1]], morning_problem.heard.grid
    males = morning_problem.males[row.indices] * row.data * visit.factor * morning_problem.participation
    return grid.xy(row.indices // grid.n_cols, row.indices % grid.n_cols), males


def _ground(
    context: PlanContext, ground: QuietGround, reach: Reach, k: int, sector: Sector, *, closes: bool
) -> LikelyGround:
    stop_m = context.morning_problem.posts_xy[context.plan.visits[k].post - 1]
    ground_m = sector.best_m
    towards = _true(context, float(azimuth_to(stop_m, ground_m)))
    crossed = _crossed_from(context, k, ground_m)
    inward = way_in(ground, reach, stop_m, ground_m) if closes else None
    aside = side_stand(ground, reach, stop_m, ground_m) if crossed is None else None
    return LikelyGround(
        towards_deg=towards,
        towards_magnetic_deg=_magnetic(context, towards),
        distance_m=float(np.hypot(*(ground_m - stop_m))),
        males=sector.males,
        way_in=None if inward is None else _way_in(context, inward, stop_m, ground_m),
        crossed_from=crossed,
        side_stand=None if aside is None else _side_stand(context, aside, stop_m, ground_m),
    )


def _crossed_from(context: PlanContext, k: int, ground_m: FloatArray) -> str | None:
    """The next stop of the plan, else one before, that hears the ground and whose line to it crosses well."""
    posts = np.array([context.morning_problem.posts_xy[visit.post - 1] for visit in context.plan.visits])
    lines = azimuth_to(ground_m, posts)
    angle = np.abs(turned(lines - lines[k]))
    low, high = figure("closing_in", "crossing_low_deg"), 180.0 - figure("closing_in", "crossing_low_deg")
    near = np.hypot(*(posts - ground_m).T) <= context.detectability.level.earshot_m(LEAFLESS)
    good = np.flatnonzero(near & (angle >= low) & (angle <= high))
    ordered = [*(i for i in good if i > k), *(i for i in good[::-1] if i < k)]
    return context.start.stop_name(int(ordered[0]) + 1) if ordered else None


def _way_in(context: PlanContext, found: QuietWay, stop_m: FloatArray, ground_m: FloatArray) -> WayIn:
    set_off = _true(context, float(azimuth_to(stop_m, ground_m)) + found.turn_deg)
    face = _true(context, float(azimuth_to(found.end_m, ground_m)))
    return WayIn(
        side=WaySide.RIGHT if found.turn_deg > 0 else WaySide.LEFT,
        set_off_deg=set_off,
        set_off_magnetic_deg=_magnetic(context, set_off),
        line_m=found.line_m,
        length_m=found.length_m,
        minutes=found.seconds / MINUTE_S,
        end=place_of(context.site.grid, found.end_m, "", context.site.ground.elevation),
        face_deg=face,
        face_magnetic_deg=_magnetic(context, face),
        crossing_deg=found.crossing_deg,
        fords=found.fords,
    )


def _side_stand(context: PlanContext, found: QuietWay, stop_m: FloatArray, ground_m: FloatArray) -> SideStand:
    go = _true(context, float(azimuth_to(stop_m, found.end_m)))
    face = _true(context, float(azimuth_to(found.end_m, ground_m)))
    return SideStand(
        place=place_of(context.site.grid, found.end_m, "", context.site.ground.elevation),
        length_m=found.length_m,
        minutes=found.seconds / MINUTE_S,
        go_deg=go,
        go_magnetic_deg=_magnetic(context, go),
        face_deg=face,
        face_magnetic_deg=_magnetic(context, face),
        crossing_deg=found.crossing_deg,
    )


def _true(context: PlanContext, grid_deg: float) -> float:
    return (grid_deg + context.north.convergence_deg) % 360


def _magnetic(context: PlanContext, true_deg: float) -> float:
    return float(magnetic_from_true(true_deg, context.north.declination_deg)) % 360
