"""Small walks with overlap, dwell choices, times of day and darkness, against every walk there is."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.sparse import csr_array

from hushwalk.errors import NoPlanError
from hushwalk.planning.bound.backward_labels import Prices
from hushwalk.planning.bound.domain import full_domain
from hushwalk.planning.bound.node import bound_node, no_tangent
from hushwalk.planning.bound.relaxation import relaxation_of
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.solve import SolveParams, solve

SEARCH = SolveParams(search_s=None, iterations=300, proof_s=None, threads=1, starts=6)
TICK = 60.0
FREE = Prices(0.0, 0.0, 0.0, 0.0)


def random_walk(seed: int) -> Problem:
    rng = np.random.default_rng(seed)
    n, m = int(rng.integers(3, 10)), int(rng.integers(3, 25))
    minutes = int(rng.integers(12, 26)) if n > 6 else int(rng.integers(12, 34))
    xy = rng.uniform(0, 8, (n, 2))
    away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1)) * TICK * rng.uniform(0.8, 1.3, (n, n))
    periods = int(rng.integers(1, 3))
    travel = np.stack([away * 1.5, away])[-periods:]
    chance = rng.uniform(0, 0.9, (n, m)) * (rng.random((n, m)) < 0.5)
    start, end = 0, int(rng.integers(0, 2)) * (n - 1)
    dwell = ((240.0,), (180.0, 360.0))[int(rng.integers(0, 2))]
    knots = np.linspace(0, minutes * TICK, 5)
    level = rng.uniform(0.1, 0.6, 5) if rng.random() < 0.7 else np.full(5, 0.5)
    availability = np.array([level * (1.0 if w < 300 else 1.5) for w in dwell])
    slack = int(rng.integers(0, 5)) if rng.random() < 0.3 else 0
    return Problem(
        travel_s=travel,
        chance=csr_array(chance),
        weights=rng.uniform(0, 2, m),
        missed=rng.uniform(0.3, 1, m) if rng.random() < 0.3 else None,
        start=start,
        end=end,
        earliest_s=0.0,
        latest_s=minutes * TICK,
        budget_s=(minutes - slack) * TICK,
        dwell_s=dwell,
        clock_s=knots,
        availability=availability,
        period_starts_s=(minutes * TICK * 0.4,) if periods > 1 else (),
        conflicts=np.array([[1, 2]]) if rng.random() < 0.3 and n > 3 else np.zeros((0, 2)),
        forbidden=(1,) if rng.random() < 0.15 else (),
        must_visit=(2,) if rng.random() < 0.2 and n > 4 and end != 2 else (),
        max_stops=int(rng.integers(1, 4)) if rng.random() < 0.3 else None,
        max_walk_s=minutes * TICK * 0.5 if rng.random() < 0.2 else None,
    )


class Everything:
    """Walks by recursion over posts, beginnings and dwells, written apart from the planner: in ticks, straight out."""

    def __init__(self, problem: Problem) -> None:
        self.p = problem
        self.chance = problem.chance.toarray()
        own = problem.post_availability
        self.own = np.ones((problem.posts, len(problem.clock_s))) if own is None else own
        self.last = int(problem.latest_s / TICK)
        self.best = -1.0
        self.clash = {frozenset(pair) for pair in problem.conflicts.tolist()}
        lighter = problem.max_walk_s is not None and len(problem.travel_s) > 1  # waiting for light shortens the walk
        self.varying = lighter or not np.all(problem.availability == problem.availability[:, :1])
        self.varying = self.varying or problem.post_availability is not None

    def arrive(self, here: int, there: int, tick: int) -> int:
        clock, share, travel = tick * TICK, 1.0, self.p.travel_s
        if len(travel) > 1 and clock < self.p.period_starts_s[0]:
            dark, break_s = travel[0, here, there], self.p.period_starts_s[0]
            if clock + dark <= break_s:
                return int(np.ceil((clock + dark) / TICK - 1e-6))
            share, clock = 1 - (break_s - clock) / dark, break_s
        return int(np.ceil((clock + share * travel[-1, here, there]) / TICK - 1e-6))

    def run(self) -> float:
        starts = range(self.last + 1) if self.varying or self.p.budget_s < self.p.latest_s else range(1)
        for depart in starts:
            self.go(self.p.start, depart, depart, (), np.ones(len(self.p.weights)), 0)
        return self.best

    def go(
        self, here: int, tick: int, depart: int, done: tuple[int, ...], left: NDArray[np.float64], foot: int
    ) -> None:
        p = self.p
        home = self.arrive(here, p.end, tick)
        if home > min(self.last, depart + p.budget_s / TICK + 1e-9):
            return
        on_foot_s = (foot + home - tick) * TICK
        if (p.max_walk_s is None or on_foot_s <= p.max_walk_s + 1e-6) and set(p.must_visit) <= set(done):
            self.best = max(self.best, float(np.sum(p.mass * (1 - left))))
        if p.max_stops is not None and len(done) >= p.max_stops:
            return
        for j in range(p.posts):
            if j in done or j in (p.start, p.end, *p.forbidden):
                continue
            if any(frozenset((j, k)) in self.clash for k in done):
                continue
            there = self.arrive(here, j, tick)
            for begin in range(there, self.last + 1) if self.varying else (there,):
                for w, dwell in enumerate(p.dwell_s):
                    leave = begin + int(dwell / TICK)
                    if leave > self.last:
                        continue
                    factor = np.interp(begin * TICK, p.clock_s, p.availability[w])
                    factor *= np.interp(begin * TICK, p.clock_s, self.own[j])
                    self.go(j, leave, depart, (*done, j), left * (1 - self.chance[j] * factor), foot + there - tick)


@pytest.mark.parametrize("block", range(20))
def test_the_plan_equals_the_best_of_all_walks(block: int) -> None:
    for seed in range(block * 10, block * 10 + 10):
        problem = random_walk(seed)
        best = Everything(problem).run()
        if best < 0:
            continue
        result = solve(problem, SEARCH, np.random.default_rng(seed))
        assert result.certificate is not None
        assert result.certificate.bound >= best - 1e-9 * max(best, 1.0), seed
        assert result.plan.worth == pytest.approx(best, rel=1e-7, abs=1e-12), seed
        assert result.certificate.proven, seed


@pytest.mark.parametrize("block", range(6))
def test_hours_of_each_post_are_kept_and_the_bound_holds(block: int) -> None:
    for seed in range(block * 10, block * 10 + 10):
        shared, rng = random_walk(seed), np.random.default_rng(seed)
        wakes, closes = rng.integers(0, 3, shared.posts), rng.integers(2, 6, shared.posts)
        knots = np.arange(len(shared.clock_s))
        window = (knots >= wakes[:, None]) & (knots <= closes[:, None])
        own = window * rng.uniform(0.3, 1.0, window.shape) if seed % 2 else window * 1.0
        problem = replace(shared, post_availability=own)
        best = Everything(problem).run()
        if best < 0:
            continue
        result = solve(problem, replace(SEARCH, proof_nodes=200), np.random.default_rng(seed))
        assert result.certificate is not None
        assert result.certificate.bound >= best - 1e-9 * max(best, 1.0), seed
        assert result.plan.worth == pytest.approx(best, rel=1e-7, abs=1e-12), seed


@pytest.mark.parametrize(("among_min", "car_min", "dwell_min"), [(9, 1, 3), (7, 2, 5), (4, 0, 20), (20, 3, 4)])
def test_the_way_round_by_the_car_and_long_stops_do_not_mislead(among_min: int, car_min: int, dwell_min: int) -> None:
    rng, n = np.random.default_rng(among_min), 6
    away = np.full((n, n), among_min * TICK) + np.triu(rng.integers(0, 4, (n, n)) * TICK)
    away[0], away[:, 0] = car_min * TICK, car_min * TICK
    np.fill_diagonal(away, 0.0)
    minutes = 3 * dwell_min + 2 * among_min + 2 * car_min + 4
    problem = Problem(
        travel_s=away[None],
        chance=csr_array(rng.uniform(0, 0.9, (n, 20)) * (rng.random((n, 20)) < 0.5)),
        weights=rng.uniform(0.5, 2, 20),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=minutes * TICK,
        budget_s=minutes * TICK,
        dwell_s=(dwell_min * TICK,),
        clock_s=np.array([0.0, minutes * TICK]),
        availability=np.array([[0.6, 0.4]]),
    )
    best = Everything(problem).run()
    result = solve(problem, SEARCH, np.random.default_rng(1))
    assert result.certificate is not None
    assert result.certificate.bound >= best - 1e-9
    assert result.plan.worth == pytest.approx(best, rel=1e-9)
    assert result.certificate.proven
    tables = tables_of(problem)
    none, whole = np.zeros(0, np.int64), full_domain(tables, relaxation_of(tables))
    root = bound_node(tables, relaxation_of(tables), none, no_tangent(tables), FREE, 8, 0.0, whole, none, 0)
    assert root.bound >= best - 1e-9


@pytest.mark.parametrize("block", range(4))
def test_nothing_of_the_best_walk_is_given_up_and_something_else_is(block: int) -> None:
    given_up = 0
    for seed in range(block * 10, block * 10 + 10):
        problem = random_walk(seed)
        try:
            plan = solve(problem, SEARCH, np.random.default_rng(seed)).plan
        except NoPlanError:  # which is checked elsewhere
            continue
        tables = tables_of(problem)
        relaxation = relaxation_of(tables)
        whole, none_fixed = full_domain(tables, relaxation), np.zeros(0, np.int64)
        enough = 0.995 * plan.worth
        found = bound_node(tables, relaxation, none_fixed, no_tangent(tables), FREE, 12, enough, whole, none_fixed, 0)
        assert found.bound >= plan.worth * (1 - 1e-9)
        here, left = problem.start, round((plan.depart_s - problem.earliest_s) / TICK)
        for visit in plan.visits:
            begin = round((visit.begin_s - problem.earliest_s) / TICK)
            assert found.domain.post[visit.post], seed
            assert found.domain.early[here, visit.post] <= left <= found.domain.late[here, visit.post], seed
            assert found.domain.begin[visit.post, begin], seed
            here, left = visit.post, round((visit.leave_s - problem.earliest_s) / TICK)
        legs_before, legs_now = (np.sum(domain.early <= domain.late) for domain in (whole, found.domain))
        given_up += int(legs_before - legs_now)
    assert given_up > 0
