"""Turns a solved plan into the stops, legs, times and lines of a report.

Nothing is decided here any more; the story that leads here is story.py's.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hushwalk.grid.nearby import distance_to
from hushwalk.hearing.earshot import earshot
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.heard_in_bouts import silent_along
from hushwalk.morning.morning_problem import CAR, MorningProblem, way_line
from hushwalk.morning.report import Leg, Noise, Stop, StopReasons
from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.detectability import Detectability
from hushwalk.site.morning_clock import Clock
from hushwalk.site.norths import North
from hushwalk.site.site import Site, place_of
from hushwalk.types import FloatArray

ALL_ROUND = 0.3  # judgement: below this mean resultant length the birds lie all round, and no direction is told
IN_EARSHOT_M = 300.0  # judgement: the 50 % distance in leafless hardwood, the reference of the sound model
BREEZE_MS = 1.0  # judgement: below it the wind takes nothing from the drum
TAKES_FROM = 0.05  # judgement: traffic that takes less than a twentieth of the earshot is worth no word
QUIET_WATER_DBA = 30.0  # judgement: below it a stream is part of the silence
MINUTE_S = 60.0  # definition
WAIT_FROM_S = 180.0  # judgement: less is rounding of the clock, and not worth a word
NEAR_M = 50.0  # judgement: a trail this near a stop is worth naming


@dataclass(frozen=True)
class StartState:
    """Where the walk that is told begins: its place in the problem, its name, and the stops already made."""

    place: int = CAR
    name: str = "CAR"
    stops_made: int = 0

    def stop_name(self, k: int) -> str:
        """Name of the k-th stop that is still to come, counted from 1."""
        return f"P{self.stops_made + k:02d}"


FROM_THE_CAR = StartState()


@dataclass(frozen=True, eq=False)
class PlanContext:
    """Everything that is needed to tell a plan; its problem ends before what is kept free for closing in [s]."""

    site: Site
    detectability: Detectability
    clock: Clock
    morning_problem: MorningProblem
    plan: Plan
    north: North
    on_trail: NDArray[np.bool_]
    start: StartState = FROM_THE_CAR
    kept_free_s: float = 0.0


def stops_of(context: PlanContext) -> tuple[Stop, ...]:
    """Tell every stop of the plan."""
    problem, visits, leave_s = context.morning_problem.problem, context.plan.visits, _leave_times(context)[1:]
    if not visits:
        return ()
    silent = silent_along(problem.chance[[visit.post for visit in visits]], visits, context.morning_problem.bouts)
    new = -np.diff(silent, axis=0) * problem.mass
    return tuple(
        replace(
            _stop(context, context.start.stops_made + 1 + k, visit, new[k]),
            leave=context.clock.at(leave),
            until_light_minutes=(leave - visit.leave_s) / MINUTE_S,
        )
        for k, (visit, leave) in enumerate(zip(visits, leave_s, strict=True))
    )


def legs_of(context: PlanContext) -> tuple[Leg, ...]:
    """Tell every leg, from where the walk begins over all stops back to the car."""
    visits, start = context.plan.visits, context.start
    places = [start.place, *(visit.post for visit in visits), CAR]
    names = [start.name, *(start.stop_name(k) for k in range(1, len(visits) + 1)), "CAR"]
    departs = _leave_times(context)
    arrives = [*(visit.arrive_s for visit in visits), context.plan.back_s]
    return tuple(
        _leg(context, (names[k], names[k + 1]), (places[k], places[k + 1]), departs[k], arrives[k])
        for k in range(len(departs))
    )


def _leave_times(context: PlanContext) -> list[float]:
    """When each leg is begun [s]; where there is no way in the dark, one stays where one is until it is light."""
    visits, times = context.plan.visits, context.morning_problem.times
    places = [context.start.place, *(visit.post for visit in visits), CAR]
    departs = [context.plan.depart_s, *(visit.leave_s for visit in visits)]
    arrives = [*(visit.arrive_s for visit in visits), context.plan.back_s]
    leaves = []
    for leg, depart_s, arrive_s in zip(pairwise(places), departs, arrives, strict=True):
        latest_s = float(np.floor((arrive_s - times.day_s[leg]) / MINUTE_S) * MINUTE_S)
        waits = not np.isfinite(times.dark_s[leg]) and latest_s - depart_s >= WAIT_FROM_S
        leaves.append(latest_s if waits else depart_s)
    return leaves


def bail_outs(context: PlanContext) -> tuple[tuple[str, FloatArray], ...]:
    """The quickest way back to the car from every stop: name of the stop and line, shape (k, 2) [m]."""
    problem = context.morning_problem
    lines = (
        problem.times.path(
            visit.post, CAR, dark=problem.dusk_s is not None and problem.in_dark((visit.post, CAR), visit.leave_s)
        ).line_m
        for visit in context.plan.visits
    )
    return tuple((context.start.stop_name(k), line) for k, line in enumerate(lines, start=1))


def _stop(context: PlanContext, number: int, visit: Visit, new: FloatArray) -> Stop:
    morning_problem, site = context.morning_problem, context.site
    xy = morning_problem.posts_xy[visit.post - 1]
    heard, any_heard = _heard_at(morning_problem, visit)
    towards = _towards(xy, _target_xy(morning_problem), new)
    to_car, times = (visit.post, CAR), morning_problem.times
    dark = morning_problem.dusk_s is not None and morning_problem.in_dark(to_car, visit.leave_s)
    back_s = float((times.dark_s if dark else times.day_s)[to_car])
    rings = earshot(context.detectability.soundscape.footprint(xy), xy)
    return Stop(
        number=number,
        place=place_of(site.grid, xy, f"P{number:02d}", site.ground.elevation),
        arrive=context.clock.at(visit.arrive_s),
        leave=context.clock.at(visit.leave_s),
        chance_any=any_heard,
        males_expected=float(new.sum()),
        listen_towards_deg=towards,
        listen_towards_magnetic_deg=_magnetic(towards, context.north),
        earshot_m=rings.median_m,
        earshot=rings.rings,
        noise=_noise(context, xy),
        reasons=StopReasons(
            heard=heard,
            minutes=visit.dwell_s / 60,
            new=float(new.sum()),
            good_cover=site.best_cover_near(xy, IN_EARSHOT_M),
            by_trail=_by_trail(context, xy),
        ),
        latest_leave=context.clock.at(morning_problem.latest_leave_s(to_car, context.clock.latest_s)),
        bail_out_minutes=back_s / 60,
        wait_minutes=visit.wait_s / 60,
    )


def _heard_at(morning_problem: MorningProblem, visit: Visit) -> tuple[float, float]:
    """Males expected to be heard at a stop by itself, and the chance of any: means over the levels of evidence."""
    problem, levels = morning_problem.problem, int(morning_problem.level.max(initial=0)) + 1
    row = problem.chance[[visit.post]]
    level = morning_problem.level[row.indices]
    males = np.bincount(level, row.data * problem.weights[row.indices] * visit.factor, levels)
    weight = morning_problem.level_weights
    return float(males.sum()), float(weight @ (1 - np.exp(-males / weight)))


def _target_xy(morning_problem: MorningProblem) -> FloatArray:
    n_cols = morning_problem.heard.grid.n_cols
    return morning_problem.heard.grid.xy(morning_problem.targets // n_cols, morning_problem.targets % n_cols)


def _towards(xy: FloatArray, target_xy: FloatArray, weight: FloatArray) -> float | None:
    """Mean direction of the birds that are new here, or None where they lie all round."""
    if weight.sum() <= 0:
        return None
    angle = np.arctan2(target_xy[:, 0] - xy[0], target_xy[:, 1] - xy[1])
    mean = np.sum(weight * np.exp(1j * angle)) / weight.sum()
    return float(np.degrees(np.angle(mean)) % 360) if abs(mean) >= ALL_ROUND else None


def _magnetic(true_deg: float | None, north: North) -> float | None:
    return None if true_deg is None else float(magnetic_from_true(true_deg, north.declination_deg)) % 360


def _noise(context: PlanContext, xy: FloatArray) -> Noise:
    wind_ms = context.detectability.soundscape.air.wind_at_ear_ms
    water = context.site.ground.stream_noise
    level = float(water.at(xy)[0]) if water is not None else np.nan
    traffic_dba, takes = _traffic(context, xy)
    return Noise(
        wind_ms if wind_ms > BREEZE_MS else None,
        level if np.isfinite(level) and level > QUIET_WATER_DBA else None,
        traffic_dba,
        takes,
    )


def _traffic(context: PlanContext, xy: FloatArray) -> tuple[float | None, float]:
    """Level of traffic at a stop, and the share of the earshot that it takes; None where that is next to nothing."""
    layer = context.site.ground.traffic_noise
    if layer is None:
        return None, 0.0
    dba, level = float(layer.at(xy)[0]), context.detectability.level
    takes = 1 - level.earshot_m(LEAFLESS, traffic_dba=dba) / level.earshot_m(LEAFLESS)
    return (dba, float(takes)) if takes >= TAKES_FROM else (None, 0.0)


def _by_trail(context: PlanContext, xy: FloatArray) -> bool:
    if not context.on_trail.any():
        return False
    cell = context.site.grid.cell_at(xy, "a stop")
    return bool(distance_to(context.on_trail, context.site.grid)[cell] <= NEAR_M)


def _leg(
    context: PlanContext, names: tuple[str, str], places: tuple[int, int], depart_s: float, arrive_s: float
) -> Leg:
    walk = way_line(context.morning_problem, places, depart_s)
    away = walk.line_m[-1] - walk.line_m[0]
    grid_bearing = float(np.degrees(np.arctan2(away[0], away[1])))
    azimuth = (grid_bearing + context.north.convergence_deg) % 360
    return Leg(
        start=names[0],
        end=names[1],
        line_m=walk.line_m,
        length_m=walk.length_m,
        climb_m=walk.climb_m,
        descent_m=walk.descent_m,
        depart=context.clock.at(depart_s),
        arrive=context.clock.at(arrive_s),
        azimuth_deg=azimuth,
        magnetic_deg=float(magnetic_from_true(azimuth, context.north.declination_deg)) % 360,
        on_trail_share=walk.on_trail_share,
        fords=walk.fords,
        bridges=walk.bridges,
        wet_m=walk.wet_m,
    )
