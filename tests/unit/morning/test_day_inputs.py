"""What a day is played with, taken from a morning."""

from collections.abc import Callable
from datetime import UTC, datetime, time
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.grid.grid import Grid
from hushwalk.hearing.coverage import Coverage
from hushwalk.morning.day.day_inputs import cells_near, heard_by_level, late_search_of, walk_of_plan
from hushwalk.morning.describe import PlanContext
from hushwalk.site.settings import SearchSettings

GRID = Grid(32615, 0.0, 4000.0, 50.0, 80, 80)


def morning_of(search: SearchSettings) -> SimpleNamespace:
    midnight = datetime(2027, 4, 24, tzinfo=UTC)
    clock = SimpleNamespace(
        evening=False,
        midnight=midnight,
        sunrise_s=6 * 3600.0,
        latest_s=9.5 * 3600,
        seconds=lambda when: (when - midnight).total_seconds(),
    )
    site = SimpleNamespace(car=SimpleNamespace(xy_m=(500.0, 700.0)))
    return SimpleNamespace(settings=SimpleNamespace(search=search), clock=clock, site=site)


def test_the_search_lasts_three_hours_or_as_the_trip_file_has_it() -> None:
    assert late_search_of(morning_of(SearchSettings())).minutes == 180.0
    assert late_search_of(morning_of(SearchSettings(until=time(12, 30)))).minutes == 150.0
    assert late_search_of(morning_of(SearchSettings(until=time(9, 0)))).minutes == 0.0


def test_who_sees_farther_or_walks_faster_sweeps_more() -> None:
    usual = late_search_of(morning_of(SearchSettings()))
    far = late_search_of(morning_of(SearchSettings(log_seen_from_m=12.0)))
    fast = late_search_of(morning_of(SearchSettings(pace_ms=0.84)))
    assert usual.sweep_ms == pytest.approx(1.6 * 6.0 * 0.42 / 1.3)  # W = 1.6 Rd (koester_2014), pace and turning
    assert far.sweep_ms == pytest.approx(2 * usual.sweep_ms)
    assert fast.sweep_ms == pytest.approx(2 * usual.sweep_ms)
    assert usual.start_m == usual.end_m == (500.0, 700.0)


def test_only_birds_round_the_stops_matter() -> None:
    near = cells_near(GRID, np.array([[2000.0, 2000.0]]))
    assert near.sum() == pytest.approx(np.pi * 1000**2 / 2500, rel=0.02)


def test_the_table_of_chances_holds_the_posts_of_the_plan_at_every_level() -> None:
    chance = csr_array(np.array([[0.0, 0.1], [0.2, 0.0], [0.3, 0.4]]))
    levels = SimpleNamespace(
        at_levels=lambda heard: ((0.7, heard), (0.3, Coverage(csr_array(0.5 * heard.chance), GRID, 0.0)))
    )
    table = heard_by_level(levels, Coverage(chance, GRID, 0.0), [2, 0])
    assert table.tolist() == [[[0.3, 0.4], [0.0, 0.1]], [[0.15, 0.2], [0.0, 0.05]]]


def test_every_plan_that_is_played_has_its_times_and_its_ways(row_of_posts: Callable[..., PlanContext]) -> None:
    context = row_of_posts(visited=(1, 2))  # from the car at 05:00, ten minutes a leg and five a stop, sunrise at 06:00
    dark = SimpleNamespace(off_trail_in_the_dark=True)
    settings = SimpleNamespace(walker=SimpleNamespace(reserve=0.15), morning=dark)
    morning = SimpleNamespace(settings=settings, clock=context.clock)
    walk = walk_of_plan(morning, context.morning_problem, context.plan, 50.0)
    assert (walk.depart_min, walk.promise_min) == (-60.0, 40.0)  # back at 05:50, and 50 minutes kept free
    assert walk.light_min == -np.inf
    assert walk.arrive_min.tolist() == [-50.0, -35.0]
    assert walk.leave_min.tolist() == [-45.0, -30.0]
    assert walk.walk_min.tolist() == [[0.0, 10.0, 20.0], [10.0, 0.0, 10.0], [20.0, 10.0, 0.0]]
    car_m = 500_050.0
    assert [line[:, 0].tolist() for line in walk.lines_m] == [
        [car_m, car_m + 500.0],
        [car_m + 500.0, car_m + 1000.0],
        [car_m + 1000.0, car_m],
    ]
