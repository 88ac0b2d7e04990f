"""Walks that need no plan: evenly spaced, off probable logs, by the morning's own clock; no plan is worth less."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.grid.grid import Grid
from hushwalk.hearing.coverage import Coverage
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.morning.plain_plan import as_near_as, plain_plans, plain_walk_of, spread_out
from hushwalk.morning.plain_walk import PlainRoute, PlainWalkKind, _stops
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.science.bouts import Bouts

RUN = SolveParams(search_s=None, iterations=60, starts=4)


def a_line(posts: int = 6, apart_m: float = 100.0, **changes: object) -> MorningProblem:
    """A trail with a stop every so many metres; each hears one bird of its own and a little of its neighbours'."""
    east = apart_m * np.arange(posts + 1)
    chance = csr_array(np.vstack([np.zeros(posts), 0.7 * np.eye(posts) + 0.3 * np.eye(posts, k=1)]))
    fields = {
        "travel_s": np.abs(east[:, None] - east[None]) / 0.8,
        "chance": chance,
        "weights": np.ones(posts),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 5400.0,
        "budget_s": 5400.0,
        "dwell_s": (180.0, 480.0),
        "clock_s": np.array([0.0, 5400.0]),
        "availability": np.array([[0.5, 0.1], [0.8, 0.2]]),
    }
    problem = Problem(**(fields | changes))
    xy = np.stack([east[1:], np.zeros(posts)], axis=1)
    line_m = np.stack([east, np.zeros(posts + 1)], axis=1)
    route = PlainRoute(PlainWalkKind.BY_TRAIL, "east", apart_m, 480.0, xy, east[1:], line_m)
    bouts, level = Bouts(0.2578, 35.0, 0.64), np.zeros(posts, np.int64)
    heard = Coverage(csr_array(chance[1:]), Grid(32615, 0, 100, 100.0, 1, posts), 0.0)
    return MorningProblem(
        problem, xy, None, heard, np.ones(posts), np.arange(posts), 1.0, bouts, level, np.ones(1), (route,)
    )  # type: ignore[arg-type]


def test_stops_keep_their_spacing_and_step_aside_from_ground_with_a_log() -> None:
    allowed = np.ones(12, bool)
    assert _stops(allowed, 4).tolist() == [3, 7, 11]
    allowed[7] = False
    assert _stops(allowed, 4).tolist() == [3, 6, 11]
    allowed[5:9] = False
    assert _stops(allowed, 4).tolist() == [3, 11]


def test_a_plain_walk_is_worth_what_its_route_is_worth_in_the_problem() -> None:
    found = a_line()
    best = plain_plans(found)[0]
    assert best.plan.worth == pytest.approx(plan_of(found.problem, best.stops, best.waits).worth)
    assert {visit.dwell_s for visit in best.plan.visits} == {480.0}
    assert best.plan.back_s <= found.problem.latest_s
    walk = plain_walk_of((best,))
    assert walk.males_expected == best.males == worth_in_bouts(found.problem, best.plan, found.bouts)
    assert walk.males_expected <= best.plan.worth
    assert walk.stops == len(best.plan.visits)
    assert walk.length_m == pytest.approx(2 * 100.0 * max(best.plan.posts))


def test_every_hour_of_leaving_direction_and_count_of_stops_is_tried() -> None:
    found = a_line()
    worth = plain_plans(found)[0].plan.worth
    for many in range(1, 7):
        for order in (range(1, many + 1), range(many, 0, -1)):
            stops = np.array([list(order), [1] * many])
            plan = plan_of(found.problem, stops, np.zeros(many + 1))
            if plan.back_s <= found.problem.latest_s:
                assert plan.worth <= worth + 1e-12


def test_no_plain_walk_is_longer_than_one_wants() -> None:
    assert plain_plans(a_line(), longest_m=450.0)[0].length_m <= 400.0
    assert plain_plans(a_line(), longest_m=150.0) == ()
    assert plain_walk_of(()).kind is PlainWalkKind.NONE_FITS


def test_no_plan_that_begins_at_a_plain_walk_is_worth_less() -> None:
    pairs = np.array([[a, b] for a in range(1, 7) for b in range(a + 1, 7) if b - a < 3])
    found = a_line(conflicts=pairs)
    plain = plain_plans(found)[0]
    kept = spread_out(found.problem, plain)
    apart = solve(found.problem, RUN, np.random.default_rng(1), known=[kept]).plan
    assert apart.worth >= plan_of(found.problem, *kept).worth
    assert apart.worth < plain.plan.worth  # the stops of the plain walk stand nearer than the problem allows
    near = solve(as_near_as(found.problem, plain), RUN, np.random.default_rng(1), known=[(plain.stops, plain.waits)])
    assert near.plan.worth >= plain.plan.worth


def test_a_known_walk_that_breaks_a_rule_is_not_begun_at() -> None:
    found = a_line(forbidden=(2,), max_stops=3)
    plain = plain_plans(replace(found, problem=replace(found.problem, forbidden=(), max_stops=None)))[0]
    plan = solve(found.problem, RUN, np.random.default_rng(1), known=[(plain.stops, plain.waits)]).plan
    assert 2 not in plan.posts
    assert len(plan.visits) <= 3


def test_a_known_walk_is_the_plan_where_the_search_makes_no_step() -> None:
    found = a_line()
    plain = plain_plans(found)[0]
    run = SolveParams(search_s=1e-9, iterations=1, starts=1)
    assert solve(found.problem, run, np.random.default_rng(1), known=[(plain.stops, plain.waits)]).plan.worth >= (
        plain.plan.worth
    )
