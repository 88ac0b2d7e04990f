"""A quieter plan of next to the same worth, and legs round good cover in the same whole minutes."""

from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.morning.posts import males_a_metre
from hushwalk.morning.quieter_plan import passed_by, quieter_plan, with_quiet_legs
from hushwalk.planning.model.plan import Certificate, Plan, Result
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.times import TravelTimes, travel_times

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 100, 100)
CAR, EAST, WEST = (500_505.0, 5_199_495.0), (500_905.0, 5_199_495.0), (500_105.0, 5_199_495.0)
SEARCH = SolveParams(search_s=None, iterations=30)


def morning(worth: tuple[float, float], dense: tuple[slice, slice], dawn_s: float = 0.0) -> tuple[Any, Any]:
    """A car between two posts of which one can be visited, with cover for males on the way to the eastern one."""
    density = np.full(GRID.shape, 1.0)
    density[dense] = 60.0
    layer = Layer("males", "1/km2", GRID, density)
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)))
    graph = build_graph(ground, gait_named("irmischer_clarke_off_path"))
    times = travel_times(graph, np.array([CAR, EAST, WEST]), per_m=males_a_metre(layer).values)
    problem = Problem(
        travel_s=np.stack([times.dark_s + 1e5, times.day_s]),
        chance=csr_array(eye_array(3, format="csr")),
        weights=np.array([0.0, *worth]),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=1800.0,
        budget_s=1800.0,
        dwell_s=(300.0,),
        period_starts_s=(0.0,),
    )
    return SimpleNamespace(density=layer), _Problem(problem=problem, times=times, civil_dawn_s=dawn_s)


@dataclass(frozen=True)
class _Problem:
    """What is asked of a morning problem."""

    problem: Problem
    times: TravelTimes
    civil_dawn_s: float

    def in_daylight(self, _leg: tuple[int, int], depart_s: float) -> bool:
        return depart_s >= self.civil_dawn_s

    def in_dark(self, leg: tuple[int, int], depart_s: float) -> bool:
        return bool(depart_s + self.times.dark_s[leg] <= self.civil_dawn_s)


def first_of(problem: Problem) -> Result:
    return solve(problem, SEARCH, np.random.default_rng(1))


EAST_OF_CAR = (slice(45, 56), slice(60, 80))


def quieter(worth: tuple[float, float], allowed: bool = True) -> tuple[Plan, Result]:
    site, made = morning(worth, EAST_OF_CAR)
    first = first_of(made.problem)
    proven = Certificate(first.plan.worth, 1.2, 3, 60.0, (300.0,), "test", 0.0)
    first = Result(first.plan, proven, first.iterations, first.seconds)
    found = quieter_plan(site, made, first, lambda _: allowed, SEARCH, np.random.default_rng(1))
    if found.plan is not first.plan:
        assert passed_by(site, made, found.plan) < passed_by(site, made, first.plan)
    return first.plan, found


def test_the_plan_that_passes_fewer_males_is_taken_for_a_hundredth_of_its_worth() -> None:
    first, found = quieter((1.0, 0.995))
    assert (first.posts, found.plan.posts) == ((1,), (2,))
    assert found.certificate is not None
    assert (found.certificate.worth, found.certificate.bound) == (found.plan.worth, 1.2)


@pytest.mark.parametrize(("worth", "allowed"), [((1.0, 0.98), True), ((1.0, 0.995), False)])
def test_a_plan_that_is_worth_less_or_not_allowed_is_not_taken(worth: tuple[float, float], allowed: bool) -> None:
    first, found = quieter(worth, allowed)
    assert found.plan is first


ONE_LOG = (slice(47, 49), slice(69, 72))  # 20 to 40 m north of the middle of the way east


def test_a_leg_by_daylight_goes_round_cover_within_its_whole_minutes() -> None:
    site, made = morning((1.0, 0.0), ONE_LOG)
    plan = plan_of(made.problem, np.array([[1], [0]]), np.zeros(2))
    round_it = with_quiet_legs(site, made, plan)
    assert passed_by(site, round_it, plan) < passed_by(site, made, plan)
    assert (0, 1) in round_it.times.ways
    for leg, way in round_it.times.ways.items():
        quickest_s = float(made.times.day_s[leg])
        assert quickest_s - 1 <= way.seconds <= min(1.1 * quickest_s, made.problem.travel_s[1][leg])


def test_a_leg_in_the_dark_stays_as_it_is() -> None:
    site, made = morning((1.0, 0.0), ONE_LOG, dawn_s=2e5)
    plan = plan_of(made.problem, np.array([[1], [0]]), np.zeros(2))
    assert with_quiet_legs(site, made, plan) is made
