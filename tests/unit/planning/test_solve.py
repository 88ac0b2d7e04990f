from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.errors import NoPlanError
from hushwalk.planning.heuristic.search_state import SearchProgress, start_posts
from hushwalk.planning.model.problem import Problem, orienteering_problem, with_posts
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.solve import SolveParams, solve

STEPS = SolveParams(search_s=None, iterations=120, starts=4)
MANY = SolveParams(search_s=None, iterations=1500, starts=4)
PROVE = SolveParams(search_s=None, iterations=60, starts=4, proof_s=None, threads=1)


def ring(posts: int = 8, **changes: object) -> Problem:
    turn = 2 * np.pi * np.arange(posts) / posts
    xy = np.vstack([[0, 0], 500 * np.c_[np.cos(turn), np.sin(turn)]])
    away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    chance = np.vstack([np.zeros(posts), 0.8 * np.eye(posts) + 0.3 * np.roll(np.eye(posts), 1, axis=1)])
    fields = {
        "travel_s": away / 0.8,
        "chance": csr_array(chance),
        "weights": np.arange(1.0, posts + 1),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 5400.0,
        "budget_s": 5400.0,
        "dwell_s": (180.0, 360.0),
        "availability": np.array([[0.5], [0.8]]),
    }
    return Problem(**(fields | changes))


def test_the_same_seed_and_steps_give_the_same_plan() -> None:
    first, second = (solve(ring(), STEPS, np.random.default_rng(4)).plan for _ in range(2))
    assert first == second


def test_a_plan_that_is_not_worth_proving_is_that_of_the_search_alone() -> None:
    search = replace(PROVE, proof_s=0.0)
    alone = solve(ring(), search, np.random.default_rng(4))
    unproven = solve(ring(), PROVE, np.random.default_rng(4), worth_proving=lambda plan: not plan.visits)
    assert (unproven.plan, unproven.certificate) == (alone.plan, None)
    assert solve(ring(), PROVE, np.random.default_rng(4), worth_proving=lambda plan: bool(plan.visits)).certificate


def test_a_plan_keeps_every_rule() -> None:
    problem = ring(conflicts=np.array([[7, 8]]), max_stops=3, max_walk_s=3600.0, must_visit=(1,), forbidden=(6,))
    plan = solve(problem, PROVE, np.random.default_rng(1)).plan
    assert 1 in plan.posts
    assert 6 not in plan.posts
    assert not {7, 8} <= set(plan.posts)
    assert len(plan.visits) <= 3
    assert plan.walk_s <= 3600.0


def test_a_longest_length_is_kept() -> None:
    length = ring().travel_s[0] * 0.8
    plan = solve(ring(length_m=length, max_length_m=2000.0), PROVE, np.random.default_rng(1)).plan
    way = [0, *plan.posts, 0]
    assert sum(length[a, b] for a, b in pairwise(way)) <= 2000.0
    assert plan.visits


def test_forcing_and_forbidding_a_post_never_helps() -> None:
    free = solve(ring(), PROVE, np.random.default_rng(1))
    forced = solve(with_posts(ring(), (1,)), PROVE, np.random.default_rng(1))
    barred = solve(ring(forbidden=(8,)), PROVE, np.random.default_rng(1))
    assert free.certificate is not None
    assert free.certificate.proven
    assert max(forced.plan.worth, barred.plan.worth) <= free.plan.worth * (1 + 1e-9)
    assert 1 in forced.plan.posts
    assert 8 not in barred.plan.posts


def test_waiting_for_light_where_it_pays() -> None:
    late = ring(
        2, forbidden=(2,), clock_s=np.array([0.0, 3000.0, 3060.0, 5400.0]), availability=np.array([[0, 0, 1, 1.0]] * 2)
    )
    result = solve(late, PROVE, np.random.default_rng(1))
    assert result.plan.visits[0].begin_s >= 3060.0
    assert result.plan.worth == pytest.approx(1 * 0.8 + 2 * 0.3)
    assert result.certificate is not None
    assert result.certificate.proven


def test_two_far_hot_spots_are_not_a_trap() -> None:
    """A near cluster that is soon used up, a far one that is worth the way (score 4 x 10 against 4 x 9)."""
    xy = np.array([[0, 0], [10, 0], [10, 1], [11, 0], [11, 1], [-30, 0], [-30, 1], [-31, 0], [-31, 1]], float)
    away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    score = [0, 9, 9, 9, 9, 10, 10, 10, 10]
    result = solve(orienteering_problem(away, score, 66.0), MANY, np.random.default_rng(2))
    assert result.plan.worth == 40.0


def test_a_search_begins_only_at_posts_within_reach() -> None:
    far = ring(12, budget_s=2000.0)
    away = np.array(far.travel_s[0])
    away[0, 7:] = away[7:, 0] = 9000.0
    firsts = start_posts(tables_of(ring(12, budget_s=2000.0, travel_s=away)), 12, np.random.default_rng(1))
    assert sorted(firsts) == [1, 2, 3, 4, 5, 6]


def test_no_walk_is_told() -> None:
    with pytest.raises(NoPlanError, match="keeps the limits"):
        solve(orienteering_problem([[0, 50], [50, 0]], [0, 1], 10.0, 0, 1), STEPS, np.random.default_rng(1))
    with pytest.raises(NoPlanError):
        solve(ring(must_visit=(1,), budget_s=600.0), STEPS, np.random.default_rng(1))


def test_an_interrupt_gives_the_best_so_far() -> None:
    def stop(_progress: SearchProgress) -> None:
        raise KeyboardInterrupt

    best = SolveParams(search_s=60.0, starts=4, keeps_best=True)
    result = solve(ring(), best, np.random.default_rng(1), stop)
    assert result.stopped == "interrupted"
    assert result.plan.worth > 0
    with pytest.raises(KeyboardInterrupt):  # a trip must not keep half a search as its plan
        solve(ring(), replace(best, keeps_best=False), np.random.default_rng(1), stop)


def test_progress_never_gets_worse() -> None:
    said: list[SearchProgress] = []
    solve(ring(), PROVE, np.random.default_rng(1), said.append)
    assert said
    assert np.all(np.diff([t.worth for t in said]) >= 0)
    assert all(t.bound >= t.worth for t in said)


def test_an_interrupt_before_any_walk_is_found_is_no_word_on_the_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("hushwalk.planning.solve.quickest_routes", stop)
    with pytest.raises(KeyboardInterrupt):
        solve(ring(), SolveParams(search_s=60.0, keeps_best=True), np.random.default_rng(1))
