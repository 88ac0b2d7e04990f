"""What a person decides about the walk: stops that must be, stops that must not, lines not to cross, a shorter walk.

What each costs is a value of wish_effect.py.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta

import numpy as np
import shapely

from hushwalk.errors import SettingsError
from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import parse_place, to_metres
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import APART, CAR, MorningProblem, times_by_light
from hushwalk.morning.posts import post_params
from hushwalk.morning.walked_twice import walked_twice
from hushwalk.morning.wish_effect import WishEffect
from hushwalk.planning.model.plan import Plan
from hushwalk.site.settings import NOON, TripSettings
from hushwalk.site.site import Site
from hushwalk.site.walk_network import build_walk_network
from hushwalk.site.wish_settings import WishSettings
from hushwalk.types import FloatArray
from hushwalk.walking.times import travel_times


def shorter_walk(settings: TripSettings) -> TripSettings:
    """Be back so much sooner as is wished.

    Raises
    ------
    SettingsError
        If no time is left.
    """
    morning, minutes = settings.morning, settings.wishes.shorter_minutes
    if minutes == 0:
        return settings
    by = morning.back_at - timedelta(minutes=minutes)
    earliest = morning.leave_not_before or (NOON if morning.evening else time(0, 1))
    if by <= datetime.combine(morning.date, earliest):
        raise SettingsError(
            f"a walk that is {minutes} minutes shorter leaves no time before {morning.back_by:%H:%M}; ask for fewer"
        )
    return replace(settings, morning=replace(morning, back_by=by.time()))


def wished_places(grid: Grid, said: Sequence[str], key: str) -> FloatArray:
    """Places in the metres of a grid, shape (n, 2) [m].

    Parameters
    ----------
    grid : of the trip.
    said : as they were typed.
    key : what to call them in errors.

    Returns
    -------
    ndarray
        Shape (n, 2) [m].

    Raises
    ------
    PlaceError
        If one lies off the ground of the trip.
    """
    found = []
    for text in said:
        place = to_metres(grid.epsg, np.array(parse_place(text)))
        grid.cell_at(place, f"{key} {text!r}")
        found.append(place)
    return np.array(found, dtype=np.float64).reshape(-1, 2)


def with_lines_closed(morning: Morning) -> Morning:
    """Give the morning with the lines that nobody crosses."""
    site = lines_closed(morning.site, morning.settings.wishes)
    if site is morning.site:
        return morning
    return replace(morning, site=site, way=build_walk_network(morning.settings, site, morning.clock))


def lines_closed(site: Site, wishes: WishSettings) -> Site:
    """Give the ground with the lines that nobody crosses.

    Raises
    ------
    PlaceError
        If one of their points lies off the ground of the trip.
    """
    wished, ground = wishes.not_across, site.ground
    if not wished:
        return site
    lines = tuple(shapely.LineString(wished_places(site.grid, line, "wishes.not_across")) for line in wished)
    closed = ground.closed | burn(lines, site.grid, touched=True)
    kept = replace(ground, closed=closed, closed_shapes=(*ground.closed_shapes, *lines))
    return replace(site, ground=kept)


def with_must(morning: Morning, posts_xy: FloatArray) -> FloatArray:
    """Put the stops that must be before all posts that are not too near to one of them, shape (n, 2) [m].

    Raises
    ------
    SettingsError
        If nobody can stand at one of them, or come to it and back.
    """
    said, start_m = morning.settings.wishes.must, morning.start_m
    start = np.zeros((0, 2)) if start_m is None else start_m[None]
    if not said:
        return np.vstack([start, posts_xy])
    must = wished_places(morning.site.grid, said, "wishes.must")
    for text, place in zip(said, must, strict=True):
        check_stand(morning, place, f"wishes.must {text!r}")
    far = np.hypot(*(posts_xy[:, None] - must[None]).transpose(2, 0, 1)).min(axis=1) >= _apart_m(morning)
    return np.vstack([must, start, posts_xy[far]])


def _apart_m(morning: Morning) -> float:
    return APART * post_params(morning.settings, morning.detectability).spacing_m


def check_stand(morning: Morning, place: FloatArray, what: str) -> None:
    """Check that one can stand and listen at a place.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    place : shape (2,) [m].
    what : to call it in errors.

    Raises
    ------
    PlaceError
        If it lies off the ground of the trip.
    SettingsError
        If nobody stands there, or it cannot be reached from the car and left in time.
    """
    cell = morning.site.grid.cell_at(place, what)
    if morning.way.no_stop[cell]:
        raise SettingsError(
            f"{what}: nobody stands there: by a house, on private or built-up ground, on a shore, or within the "
            "distance that is kept (the stand-off) from a noted log or where a male probably is; choose a place near by"
        )
    out_s = morning.way.from_car_s[cell]
    if not np.isfinite(out_s) or 2 * out_s > morning.clock.window_s:
        raise SettingsError(
            f"{what} cannot be reached from the car and left again in time; choose another place, or a later "
            f"{morning.settings.morning.key('back_by')}"
        )


def wished_problem(morning: Morning, morning_problem: MorningProblem) -> MorningProblem:
    """Give the problem whose walks keep to the wishes; its first posts are those that must be."""
    wishes, problem = morning.settings.wishes, morning_problem.problem
    if not (wishes.must or wishes.must_not or wishes.start):
        return morning_problem
    must = tuple(range(1, 1 + len(wishes.must)))
    unwanted = wished_places(morning.site.grid, wishes.must_not, "wishes.must_not")
    away = np.hypot(*(morning_problem.posts_xy[:, None] - unwanted[None]).transpose(2, 0, 1))
    near = np.flatnonzero((away < _apart_m(morning)).any(axis=1)) + 1
    both = sorted(set(must) & set(near.tolist()))
    if both:
        raise SettingsError(
            f"wishes.must {wishes.must[both[0] - 1]!r} lies within {_apart_m(morning):.0f} m of a place of "
            "wishes.must_not; take one of the two out"
        )
    start = start_post(wishes)
    between = np.isin(problem.conflicts, must).all(axis=1)
    wished = replace(
        problem,
        start=start,
        must_visit=must,
        forbidden=tuple({*problem.forbidden, *near.tolist(), *([start] if start else [])}),
        conflicts=problem.conflicts[~between],
    )
    return replace(morning_problem, problem=wished)


def start_post(wishes: WishSettings) -> int:
    """Where the walk begins, among the places of its problem: the first after the stops that must be, or the car."""
    return 1 + len(wishes.must) if wishes.start else CAR


def without_wishes(morning: Morning, morning_problem: MorningProblem) -> MorningProblem:
    """Give the same posts and targets without any wish, to be compared with.

    Parameters
    ----------
    morning : with its wishes.
    morning_problem : as wished.
    """
    wishes, problem = morning.settings.wishes, morning_problem.problem
    more_s = 60.0 * wishes.shorter_minutes
    free = replace(
        problem,
        start=CAR,
        must_visit=(),
        forbidden=(),
        latest_s=problem.latest_s + more_s,
        budget_s=problem.budget_s + more_s,
    )
    if not wishes.not_across:
        return replace(morning_problem, problem=free)
    site, lines = morning.site, len(wishes.not_across)
    shapes = site.ground.closed_shapes[:-lines]
    open_site = replace(
        site, ground=replace(site.ground, closed=burn(shapes, site.grid, touched=True), closed_shapes=shapes)
    )
    way = build_walk_network(morning.settings, open_site, morning.clock)
    times = travel_times(
        way.graph,
        np.vstack([site.car.xy_m, morning_problem.posts_xy]),
        limit_s=morning.clock.window_s,
        off_trail_in_the_dark=morning.settings.morning.off_trail_in_the_dark,
    )
    free = replace(free, travel_s=times_by_light(morning.clock, times)[0])
    return replace(morning_problem, problem=free, times=times)


def any_wish(wishes: WishSettings) -> bool:
    """Tell whether anything is wished."""
    return wishes != WishSettings()


def effect_of_wishes(
    settings: TripSettings, morning_problem: MorningProblem, plan: Plan, before: tuple[MorningProblem, Plan] | None
) -> WishEffect:
    """Hold a plan against one without the wishes.

    Parameters
    ----------
    settings : with the wishes.
    morning_problem, plan : as wished.
    before : problem and plan without wishes; None where none was found.

    Returns
    -------
    WishEffect
    """
    wishes = settings.wishes
    names = {visit.post: f"P{k:02d}" for k, visit in enumerate(plan.visits, start=1)}
    return WishEffect(
        must=tuple((text, names.get(post, "")) for post, text in enumerate(wishes.must, start=1)),
        must_not=wishes.must_not,
        without=(),
        lines=len(wishes.not_across),
        start=wishes.start or "",
        shorter_min=wishes.shorter_minutes,
        males=worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts),
        minutes=plan.duration_s / 60,
        males_before=None if before is None else worth_in_bouts(before[0].problem, before[1], before[0].bouts),
        minutes_before=None if before is None else before[1].duration_s / 60,
        walked_twice=walked_twice(morning_problem, plan) if wishes.other_way_back else None,
        walked_twice_before=walked_twice(*before) if wishes.other_way_back and before is not None else None,
    )
