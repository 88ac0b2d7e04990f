"""A walk that a person shapes, on a small piece of the demo: worth what the plan counts, and what the slow way gives.

The slow way states the problem of all stops anew and walks between all of them; the quick one keeps places and legs.
"""

from dataclasses import replace
from datetime import time
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import NoPlanError, PlaceError, SettingsError
from hushwalk.grid.points import to_lonlat, to_metres
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.morning_problem import build_problem
from hushwalk.morning.shaped_walk import ShapedWalk, WalkShape, WalkShaper, timed_plan, walk_of_plan
from hushwalk.morning.solved_plan import RunParams, as_wished
from hushwalk.morning.story import plan_morning
from hushwalk.morning.warm_morning import SolvedMorning, WarmMorning
from hushwalk.site.settings import ClosedSettings, TripSettings
from hushwalk.site.trip_file import read_trip
from hushwalk.site.wish_settings import WishSettings

PARAMS = RunParams(search_s=None, iterations=60, proof_s=0.0)
pytestmark = pytest.mark.xdist_group("shaped walk")


@pytest.fixture(scope="module")
def settings(demo_folder: Path) -> TripSettings:
    whole = read_trip(demo_folder / "trip.toml")
    hours = replace(whole.morning, back_by=time(7, 15))
    return replace(whole, morning=hours, ground=replace(whole.ground, reach_m=900.0))


@pytest.fixture(scope="module")
def warm() -> WarmMorning:
    return WarmMorning()


@pytest.fixture(scope="module")
def solved(warm: WarmMorning, settings: TripSettings) -> SolvedMorning:
    return warm.solved(settings, None, PARAMS)


def shape_of(solved: SolvedMorning, places_m: np.ndarray | None = None) -> WalkShape:
    plan, problem = solved.result.plan, solved.morning_problem
    at_m = problem.posts_xy[[post - 1 for post in plan.posts]] if places_m is None else places_m
    return WalkShape(
        tuple(map(tuple, to_lonlat(solved.morning.site.grid.epsg, at_m).tolist())),
        tuple(visit.dwell_s / 60 for visit in plan.visits),
        tuple(visit.wait_s / 60 for visit in plan.visits),
        plan.visits[0].begin_s,
        solved.morning.kept_free_s,
    )


def the_slow_way(solved: SolvedMorning, shape: WalkShape) -> tuple[float, list[float]]:
    """Males and times where the problem of these stops is stated anew, with nothing kept."""
    stops_m = to_metres(solved.morning.site.grid.epsg, np.array(shape.places))
    stated = build_problem(solved.morning, stops_m)
    plan = timed_plan(stated.problem, shape, 0)
    return worth_in_bouts(stated.problem, plan, stated.bouts), [visit.arrive_s for visit in plan.visits]


def test_the_walk_of_a_plan_is_worth_what_the_plan_is(solved: SolvedMorning, warm: WarmMorning) -> None:
    shaper = warm.shaper(solved.morning.settings, None)
    walk, plan = shaper.evaluate(shape_of(solved)), solved.result.plan
    of_plan = walk_of_plan(solved.morning, solved.morning_problem, plan)
    assert len(plan.visits) > 2
    assert [visit.arrive_s for visit in walk.plan.visits] == [visit.arrive_s for visit in plan.visits]
    assert (walk.plan.back_s, walk.late_s, walk.taken_s) == (plan.back_s, 0.0, 0.0)
    males = worth_in_bouts(solved.morning_problem.problem, plan, solved.morning_problem.bouts)
    assert of_plan.males == pytest.approx(males, rel=1e-12)
    assert walk.males == pytest.approx(males, rel=1e-3), "places go through degrees: a path may fall into the next cell"
    assert walk.latest_leave_s == pytest.approx(of_plan.latest_leave_s, abs=0.01)
    assert len(walk.lines_m) == len(plan.visits) + 1


def test_a_moved_stop_is_worth_what_the_slow_way_gives(solved: SolvedMorning, warm: WarmMorning) -> None:
    shaper, rng = warm.shaper(solved.morning.settings, None), np.random.default_rng(3)
    places_m = solved.morning_problem.posts_xy[[post - 1 for post in solved.result.plan.posts]]
    seen: list[ShapedWalk] = []
    for _ in range(12):
        moved = places_m.copy()
        moved[rng.integers(len(moved))] += rng.normal(0.0, 70.0, 2)
        shape = shape_of(solved, moved)
        try:
            walk = shaper.evaluate(shape)
        except (SettingsError, NoPlanError):  # nobody stands there
            continue
        males, arrive_s = the_slow_way(solved, shape)
        assert walk.males == pytest.approx(males, rel=1e-9)
        assert [visit.arrive_s for visit in walk.plan.visits] == arrive_s
        seen.append(walk)
    assert len(seen) > 5
    assert len({round(walk.males, 6) for walk in seen}) > 5


def test_a_walk_that_is_too_long_is_back_too_late(solved: SolvedMorning, warm: WarmMorning) -> None:
    shaper, shape = warm.shaper(solved.morning.settings, None), shape_of(solved)
    longest = replace(shape, minutes=(10.0,) * len(shape.places), waits=(60.0,) * len(shape.places))
    walk = shaper.evaluate(longest)
    assert walk.late_s == max(0.0, walk.plan.back_s - solved.morning.due_s)
    twice = replace(
        shape, places=shape.places * 3, minutes=(10.0,) * 3 * len(shape.places), waits=(0.0,) * 3 * len(shape.places)
    )
    assert shaper.evaluate(twice).late_s > 0


def test_a_stop_where_nobody_stands_is_refused(
    solved: SolvedMorning, warm: WarmMorning, settings: TripSettings
) -> None:
    shape = shape_of(solved)
    off = replace(shape, places=((shape.places[0][0] + 0.1, shape.places[0][1]), *shape.places[1:]))
    with pytest.raises(PlaceError, match="stop 1"):
        warm.shaper(settings, None).evaluate(off)
    lon, lat = shape.places[1]
    ring = tuple((lon + x, lat + y) for x, y in ((-0.001, -0.001), (0.001, -0.001), (0.001, 0.001), (-0.001, 0.001)))
    walled = replace(settings, closed=(*settings.closed, ClosedSettings("here", ring)))
    with pytest.raises((SettingsError, PlaceError), match="stop 2"):
        warm.shaper(walled, None).evaluate(shape)


def changes(settings: TripSettings, solved: SolvedMorning) -> dict[str, TripSettings]:
    grid, xy = solved.morning.site.grid, solved.morning_problem.posts_xy
    lon, lat = to_lonlat(grid.epsg, xy[solved.result.plan.posts[1] - 1] + 20.0).tolist()
    here, far = f"{lat:.6f}, {lon:.6f}", to_lonlat(grid.epsg, xy[solved.result.plan.posts[-1] - 1]).tolist()
    away = [f"{lat + dy:.6f}, {lon + dx:.6f}" for dx, dy in ((-0.002, 0.0005), (0.002, 0.0005))]
    ring = tuple((lon + x, lat + 0.002 + y) for x, y in ((0.0, 0.0), (0.001, 0.0), (0.0, 0.001)))
    return {
        "must, hours": replace(
            settings,
            wishes=WishSettings(must=(here,), must_not=(f"{far[1]:.6f}, {far[0]:.6f}",)),
            morning=replace(settings.morning, back_by=time(7, 25)),
        ),
        "line, closed": replace(
            settings, wishes=WishSettings(not_across=(tuple(away),)), closed=(ClosedSettings("there", ring),)
        ),
        "reserve": replace(
            settings,
            walker=replace(settings.walker, reserve=0.3),
            weather=replace(settings.weather, wind_at_ear_ms=1.5),
            wishes=WishSettings(shorter_minutes=10),
        ),
    }


@pytest.mark.parametrize("name", ["must, hours", "line, closed", "reserve"])
def test_a_plan_from_what_is_kept_is_the_plan_from_nothing(
    name: str, settings: TripSettings, solved: SolvedMorning, warm: WarmMorning
) -> None:
    changed = changes(settings, solved)[name]
    warm.solved(changed, None, PARAMS)  # a first answer must leave nothing behind that a whole plan would take
    kept = plan_morning(changed, PARAMS, cache=warm.steps(changed, None))
    new = plan_morning(changed, PARAMS)
    assert kept.males == new.males
    assert [stop.place for stop in kept.stops] == [stop.place for stop in new.stops]
    assert [(stop.arrive, stop.leave) for stop in kept.stops] == [(stop.arrive, stop.leave) for stop in new.stops]
    assert all(np.array_equal(a.line_m, b.line_m) for a, b in zip(kept.legs, new.legs, strict=True))


def test_first_answers_are_worth_nearly_what_all_legs_give(settings: TripSettings, warm: WarmMorning) -> None:
    """Legs to near posts alone, and the posts of the last plan: as good within the few percent of a short search."""
    changed = replace(settings, walker=replace(settings.walker, reserve=0.25))
    first = warm.solved(changed, None, PARAMS)
    all_legs = build_problem(first.morning, first.morning_problem.posts_xy)
    found = as_wished(first.morning, all_legs, (), PARAMS)
    assert not np.array_equal(first.morning_problem.times.day_s, all_legs.times.day_s)
    assert first.result.plan.worth > 0.95 * found.plan.worth
    assert first.result.plan.back_s <= first.morning.last_s


def test_evaluating_needs_no_plan(settings: TripSettings, solved: SolvedMorning) -> None:
    """A shaper of its own, as the second process has it, says the same."""
    alone = WalkShaper(solved.morning).evaluate(shape_of(solved))
    assert alone.males == pytest.approx(WarmMorning().shaper(settings, None).evaluate(shape_of(solved)).males, rel=1e-9)


def test_all_stops_of_a_plan_can_be_locked(settings: TripSettings, solved: SolvedMorning, warm: WarmMorning) -> None:
    """The plan itself keeps to them, so that there is a walk; one that stands as near to it is worth nearly as much."""
    shape = shape_of(solved)
    places = tuple(f"{lat:.6f}, {lon:.6f}" for lon, lat in shape.places)
    locked = warm.solved(replace(settings, wishes=WishSettings(must=places)), None, PARAMS)
    assert set(range(1, len(places) + 1)) <= set(locked.result.plan.posts)
    assert locked.result.plan.worth > 0.95 * solved.result.plan.worth
