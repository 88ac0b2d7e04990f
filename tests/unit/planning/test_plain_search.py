"""Plain orienteering held against walks that can be counted, and its steps against what they promise."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.orienteering.crossover import crossover, spread_posts
from hushwalk.planning.orienteering.local_search import activate, shorten
from hushwalk.planning.orienteering.plain import plain_of, route_time, total_score
from hushwalk.planning.orienteering.plain_local_search import empty_working_route, search_plain, set_working_route
from hushwalk.planning.solve import SolveParams, solve

STEPS = SolveParams(search_s=None, iterations=2000, starts=4)


def apart(xy: np.ndarray) -> np.ndarray:
    return np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))


def best_walk(times: np.ndarray, score: np.ndarray, budget: float, dwell: float, start: int, end: int) -> float:
    """Try every walk there is."""
    inner = [k for k in range(len(score)) if k not in (start, end)]
    most = 0.0
    for many in range(len(inner) + 1):
        for walk in permutations(inner, many):
            took = sum(times[a, b] for a, b in pairwise([start, *walk, end])) + dwell * many
            if took <= budget:
                most = max(most, float(score[list(walk)].sum()))
    return most


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("both_ways", [True, False])
def test_small_cases_equal_every_walk_there_is(seed: int, both_ways: bool) -> None:
    rng = np.random.default_rng(seed)
    times, score = apart(rng.uniform(0, 100, (8, 2))), np.round(rng.uniform(1, 9, 8))
    if not both_ways:
        times = times * rng.uniform(0.7, 1.5, times.shape)
    end, dwell, budget = seed % 2, float(seed % 3) * 4, float(rng.uniform(120, 300))
    score[[0, end]] = 0.0
    problem = Problem(
        travel_s=times,
        chance=csr_array(eye_array(8, format="csr")),
        weights=score,
        start=0,
        end=end,
        earliest_s=0.0,
        latest_s=budget,
        budget_s=budget,
        dwell_s=(dwell,),
        step_s=0.0,
    )
    plan = solve(problem, STEPS, np.random.default_rng(seed)).plan
    assert plan.worth == pytest.approx(best_walk(times, score, budget, dwell, 0, end))
    assert plan.duration_s <= budget * (1 + 1e-9)


def test_a_shortened_way_round_a_circle_does_not_cross_itself() -> None:
    """A tour without a gainful exchange of two legs does not cross itself (Flood 1956, Oper Res 4:61-75)."""
    turn = np.linspace(0, 2 * np.pi, 30, endpoint=False)
    xy = 100 * np.c_[np.cos(turn), np.sin(turn)]
    plain = plain_of(tables_of(orienteering_problem(apart(xy), np.ones(30), 1e6)))
    for seed in range(20):
        mixed = np.random.default_rng(seed).permutation(29)
        way, many = empty_working_route(31), 0
        set_working_route(way, np.array([29, *mixed, 30]), 31)
        for place in range(31):
            many = activate(way, many, place)
        shorten(plain.times, plain.near, plain.two_way, way, 31, many)
        assert sorted(way.route) == list(range(31))
        assert way.route[0] == 29
        assert way.route[30] == 30
        assert np.all(way.route[way.where] == np.arange(31))
        assert route_time(plain, way.route, 31) == pytest.approx(30 * 200 * np.sin(np.pi / 30))


@pytest.mark.parametrize("two_way", [True, False])
def test_shortening_never_makes_a_way_longer(two_way: bool) -> None:
    for seed in range(30):
        rng = np.random.default_rng(seed)
        times = apart(rng.uniform(0, 100, (25, 2)))
        times = times if two_way else times * rng.uniform(0.7, 1.5, times.shape)
        plain = plain_of(tables_of(orienteering_problem(times, np.ones(25), 1e6, 0, 1)))
        assert plain.two_way == two_way
        route = np.array([23, *rng.permutation(23)[:15], 24])
        way, many = empty_working_route(25), 0
        set_working_route(way, route, 17)
        for place in route:
            many = activate(way, many, place)
        shorten(plain.times, plain.near, plain.two_way, way, 17, many)
        assert sorted(way.route[:17]) == sorted(route)
        assert route_time(plain, way.route, 17) <= route_time(plain, route, 17) + 1e-9
        assert np.all(way.asleep)


def test_what_a_search_says_of_its_best_route_is_so() -> None:
    rng = np.random.default_rng(5)
    plain = plain_of(tables_of(orienteering_problem(apart(rng.uniform(0, 100, (60, 2))), rng.uniform(1, 9, 60), 300.0)))
    route = np.full(61, 60)
    route[0] = 59
    found, count, score, _ = search_plain(plain, route, 2, 400, np.array([0.01, 0.001]), 7)
    assert found[0] == 59
    assert found[count - 1] == 60
    assert len(set(found[:count])) == count
    assert total_score(plain, found, count) == pytest.approx(score)
    assert route_time(plain, found, count) <= 300.0 * (1 + 1e-9)


def test_a_herd_begins_at_different_places_within_reach() -> None:
    rng = np.random.default_rng(6)
    xy = np.vstack([rng.uniform(0, 100, (40, 2)), rng.uniform(1000, 2000, (60, 2))])
    plain = plain_of(tables_of(orienteering_problem(apart(xy), np.ones(100), 250.0)))
    firsts = spread_posts(plain, 12, np.random.default_rng(1))
    assert len(set(firsts)) == 12
    assert np.all(plain.posts[firsts] < 40)
    assert len(spread_posts(plain, 500, np.random.default_rng(1))) == len(plain.posts) - 2


def test_a_child_keeps_the_budget_and_takes_over_what_the_other_route_has() -> None:
    rng = np.random.default_rng(6)
    plain = plain_of(tables_of(orienteering_problem(apart(rng.uniform(0, 100, (60, 2))), np.ones(60), 250.0)))
    first = np.full(61, 60)
    first[0] = 59
    mother, father = (search_plain(plain, first.copy(), 2, 3, np.array([0.01, 0.01]), seed) for seed in (1, 2))
    mother, father = mother[0][: mother[1]], father[0][: father[1]]
    fresh = set(father) - set(mother)
    taken = 0
    for seed in range(30):
        child = crossover(plain, mother, father, seed)
        assert (child[0], child[-1]) == (59, 60)
        assert len(set(child)) == len(child)
        assert set(child) <= set(mother) | set(father)
        assert route_time(plain, child, len(child)) <= 250.0 * (1 + 1e-9)
        taken += bool(fresh & set(child))
    assert taken > 15


def test_a_search_ends_once_it_has_enough() -> None:
    rng = np.random.default_rng(8)
    problem = orienteering_problem(apart(rng.uniform(0, 100, (50, 2))), np.ones(50), 250.0)
    result = solve(problem, SolveParams(search_s=None, iterations=50000, enough=10.0), np.random.default_rng(4))
    assert result.plan.worth >= 10.0
    assert result.iterations < 50000
    all_of_it = solve(
        orienteering_problem(np.zeros((6, 6)), np.ones(6), 1.0), SolveParams(60.0), np.random.default_rng(1)
    )
    assert all_of_it.plan.worth == 6.0
    assert all_of_it.seconds < 30.0


def test_the_same_seed_and_steps_give_the_same_plan() -> None:
    rng = np.random.default_rng(8)
    problem = orienteering_problem(apart(rng.uniform(0, 100, (50, 2))), np.ones(50), 250.0)
    first, second = (solve(problem, STEPS, np.random.default_rng(4)).plan for _ in range(2))
    assert first == second


def test_seconds_of_the_processor_can_be_the_limit() -> None:
    rng = np.random.default_rng(8)
    problem = orienteering_problem(apart(rng.uniform(0, 100, (50, 2))), np.ones(50), 250.0)
    result = solve(problem, SolveParams(search_s=0.05, clock="cpu"), np.random.default_rng(4))
    assert result.seconds >= 0.05
    assert result.plan.worth > 10
