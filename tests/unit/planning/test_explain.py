import numpy as np
import pytest

from hushwalk.planning.analysis.explain import budget_curve, why_not
from hushwalk.planning.model.problem import orienteering_problem
from hushwalk.planning.solve import SolveParams, solve

LINE = orienteering_problem(np.abs(np.arange(4.0)[:, None] - np.arange(4.0)[None]), [0, 3, 2, 10], 4.0)
QUICK = SolveParams(search_s=None, iterations=60, starts=3)


def test_reasons_add_up_and_a_far_post_is_told_not_to_fit() -> None:
    plan = solve(LINE, QUICK, np.random.default_rng(1)).plan
    assert set(plan.posts) == {1, 2}
    assert sum(visit.gain for visit in plan.visits) == pytest.approx(plan.worth) == 5.0
    assert why_not(LINE, plan, 3, np.random.default_rng(1)).plan is None


def test_a_forced_post_costs_what_it_costs() -> None:
    fork = orienteering_problem([[0, 2, 3], [2, 0, 4], [3, 4, 0]], [0, 5, 4], 6.0)
    plan = solve(fork, QUICK, np.random.default_rng(1)).plan
    other = why_not(fork, plan, 2, np.random.default_rng(1))
    assert plan.posts == (1,)
    assert other.plan is not None
    assert other.lost == pytest.approx(0.2)


def test_more_time_never_hears_fewer() -> None:
    curve = budget_curve(LINE, [6.0, 2.0, 0.5, 4.0], np.random.default_rng(1), QUICK)
    assert curve == ((0.5, 0.0), (2.0, 3.0), (4.0, 5.0), (6.0, 5.0))
