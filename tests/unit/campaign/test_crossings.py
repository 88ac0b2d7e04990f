"""Bearings of one display from two stops of the same minutes: what they place, and walks that seek them."""

from datetime import date
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.campaign.crossings import PLACED_WORTH, CrossingParams, males_placed, with_crossings
from hushwalk.campaign.joint_days import DayChoice, SolvedDay, males_new
from hushwalk.grid.grid import Grid
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Result
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of
from hushwalk.science.bearing_error import kappa_of_sd
from hushwalk.science.bouts import Bouts
from hushwalk.science.crossing import azimuth_to, crossing_area_m2, lenth_crossing

PARAMS = CrossingParams(sd_deg=10.0, earshot_m=300.0)
GRID = Grid(32615, 500_000.0, 5_200_000.0, 100.0, 10, 10)
MALE = 44  # the cell whose middle lies at 450 m east and 450 m south of the corner
AT = np.array([500_450.0, 5_199_550.0])


def off(east_m: float, north_m: float) -> np.ndarray:
    """A place by its way from the male."""
    return AT + np.array([east_m, north_m])


SOUTH, EAST, FAR, BESIDE = off(0.0, -200.0), off(200.0, 0.0), off(0.0, -2000.0), off(60.0, -200.0)


def choice(posts_m: list[np.ndarray], chance: list[float], males: float = 2.0, bonus: float = 0.0) -> DayChoice:
    """Posts ten minutes from the car and five from one another, one male's cell, and one that only the last hears."""
    n = len(posts_m)
    travel = np.full((n + 1, n + 1), 300.0)
    travel[0], travel[:, 0] = 600.0, 600.0
    heard = np.zeros((n + 1, 2))
    heard[1:, 0] = chance
    heard[n, 1] = 1.0
    problem = Problem(
        travel_s=travel,
        chance=csr_array(heard),
        weights=np.array([males, bonus]),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=2700.0,
        budget_s=2700.0,
        dwell_s=(300.0, 600.0),
        clock_s=np.array([0.0, 2700.0]),
        availability=np.array([[0.5, 0.5], [0.8, 0.8]]),
        max_stops=1,
    )
    given: dict[str, Any] = {"times": None, "heard": SimpleNamespace(grid=GRID)}
    of = MorningProblem(
        problem,
        np.array(posts_m),
        males=np.array([males, bonus]),
        targets=np.array([MALE, 99]),
        participation=1.0,
        bouts=Bouts(0.1, 35.0, 1.0),
        level=np.zeros(2, dtype=np.int64),
        level_weights=np.ones(1),
        **given,
    )
    no_morning: Any = None
    return DayChoice("road", date(2027, 4, 24), no_morning, of)


def walk(one: DayChoice, post: int, wait_s: float = 0.0, dwell: int = 1) -> SolvedDay:
    plan = plan_of(one.morning_problem.problem, np.array([[post], [dwell]]), np.array([0.0, wait_s]))
    return SolvedDay(one, Result(plan, None, 0, 0.0))


@pytest.mark.parametrize("second", [EAST, off(150.0, -150.0), off(-80.0, 260.0)])
def test_the_ground_is_the_ellipse_of_the_maximum_likelihood_estimate(second: np.ndarray) -> None:
    stations = np.array([SOUTH, second])
    found = lenth_crossing(stations, azimuth_to(stations, AT), kappa=kappa_of_sd(5.0))
    ellipse = -2 * np.log(0.2) * np.pi * np.sqrt(np.linalg.det(found.covariance_m2))
    assert float(crossing_area_m2(SOUTH, second, AT[None], 5.0)[0]) == pytest.approx(float(ellipse), rel=0.02)


def test_lines_that_lie_along_each_other_leave_all_ground() -> None:
    assert crossing_area_m2(SOUTH, off(0.0, -400.0), AT[None], 5.0)[0] > 1e9


def test_what_a_crossing_places_is_counted_by_hand() -> None:
    mine, yours = choice([SOUTH, EAST], [0.6, 0.4]), choice([SOUTH, EAST], [0.6, 0.4])
    # ten minutes each, from 600 s on: all shared. Area -2 ln 0.2 pi (10 deg)^2 200^2 = 1.23 ha; of what can be learned
    # between the 28.3 ha within 300 m and half a hectare, ln(28.27 / 1.232) / ln(28.27 / 0.5) = 77.7 % is
    learned = np.log(28.274 / (-2 * np.log(0.2) * np.pi * np.radians(10) ** 2 * 4.0)) / np.log(28.274 / 0.5)
    assert learned == pytest.approx(0.777, abs=0.002)
    placed = males_placed(walk(mine, 1), walk(yours, 2), PARAMS)
    assert placed == pytest.approx(2.0 * 0.6 * 0.4 * 0.8 * learned, rel=1e-3)
    half = males_placed(walk(mine, 1), walk(yours, 2, wait_s=300.0), PARAMS)  # five minutes are shared
    assert half == pytest.approx(2.0 * 0.6 * 0.4 * 0.5 * learned, rel=1e-3)
    assert males_placed(walk(mine, 1), walk(yours, 2, wait_s=480.0), PARAMS) == 0.0  # two minutes
    for place in (BESIDE, FAR):
        assert males_placed(walk(mine, 1), walk(choice([SOUTH, place], [0.6, 0.4]), 2), PARAMS) == 0.0


@pytest.mark.parametrize(("bonus", "seeks"), [(0.1, True), (4.0, False)])
def test_crossings_are_sought_where_they_are_worth_the_males_they_cost(bonus: float, seeks: bool) -> None:
    """The second could stand where lines cross, or far off at some other males, few or many."""
    mine, yours = choice([SOUTH], [0.6]), choice([EAST, FAR], [0.4, 0.0], bonus=bonus)
    pair = walk(mine, 1), walk(yours, 2)
    (first, second), effect = with_crossings(pair, (), PARAMS, lambda _: True, 1)
    assert (second.result.plan.posts == (1,)) == seeks
    assert (effect.placed_before, effect.placed > 0) == (0.0, seeks)
    gained, lost = effect.placed - effect.placed_before, effect.males_before - effect.males
    assert PLACED_WORTH * gained >= lost - 1e-9
    assert effect.males == pytest.approx(males_new(first, ()) + males_new(second, [first]))


def test_one_waits_so_that_both_listen_in_the_same_minutes() -> None:
    mine, yours = choice([SOUTH], [0.6]), choice([EAST], [0.4])
    late = walk(mine, 1, wait_s=720.0)
    (_, second), effect = with_crossings((late, walk(yours, 1)), (), PARAMS, lambda _: True, 1)
    assert second.result.plan.visits[0].begin_s == late.result.plan.visits[0].begin_s
    assert effect.placed > effect.placed_before == 0.0
    kept, same = with_crossings((late, walk(yours, 1)), (), PARAMS, lambda _: False, 1)
    assert kept[1].result.plan.visits[0].begin_s == 600.0
    assert same.placed == same.placed_before
