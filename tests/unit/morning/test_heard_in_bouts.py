"""Males followed through bouts and pauses: held to every course of a small morning, and never above stands apart."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm
from scipy.sparse import csr_array

from hushwalk.morning.heard_in_bouts import gains_in_bouts, silent_along, worth_in_bouts
from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of
from hushwalk.science.bouts import Bouts

BOUTS = Bouts(0.2578, 35.0, 0.64)
ROUNDING = 1e-12


def a_morning(availability: np.ndarray) -> Problem:
    chance = np.array([[0, 0, 0], [0.9, 0.3, 0.0], [0.4, 0.8, 0.2], [0.6, 0.6, 0.9]], float)
    return Problem(
        travel_s=np.full((4, 4), 420.0) - np.diag([420.0] * 4),
        chance=csr_array(chance),
        weights=np.array([1.0, 2.0, 0.5]),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=9000.0,
        budget_s=9000.0,
        dwell_s=(180.0, 480.0),
        clock_s=np.array([0.0, 9000.0]),
        availability=availability,
    )


def marginal(bouts: Bouts) -> np.ndarray:
    alone = bouts.heard_chance(np.array([3.0, 8.0]))
    return np.stack([alone, 0.4 * alone], axis=1)  # the hour takes its share


def every_walk(problem: Problem) -> list[Plan]:
    """All orders, lengths of stands and some waits of three posts."""
    found = []
    for many in (1, 2, 3):
        for posts, dwells, wait in product(permutations((1, 2, 3), many), product((0, 1), repeat=many), (0.0, 1500.0)):
            waits = np.zeros(many + 1)
            waits[-1] = wait
            found.append(plan_of(problem, np.array([posts, dwells]), waits))
    return found


@pytest.mark.parametrize(("bout_min", "share"), [(35.0, 0.64), (5.0, 0.2), (120.0, 0.9), (35.0, 1.0)])
def test_no_walk_hears_more_than_stands_that_do_not_depend_on_each_other(bout_min: float, share: float) -> None:
    bouts = Bouts(0.2578, bout_min, share)
    problem = a_morning(marginal(bouts))
    for plan in every_walk(problem):
        followed = worth_in_bouts(problem, plan, bouts)
        assert followed <= plan.worth + ROUNDING
        assert gains_in_bouts(problem, plan.visits, bouts).sum() == pytest.approx(followed)
        if len(plan.visits) == 1 or share == 1:
            assert followed == pytest.approx(plan.worth)
        else:
            assert followed < plan.worth


def test_silence_is_that_of_every_course_of_carrying_and_not_carrying() -> None:
    # each stand carries or does not; given which do, silence is a product of matrix exponentials (scipy)
    problem = a_morning(marginal(BOUTS))
    plan = plan_of(problem, np.array([[1, 3, 2], [1, 0, 1]]), np.array([0.0, 0.0, 600.0, 0.0]))
    out, back = 1 / 35.0, 0.64 / (35.0 * 0.36)
    generator = np.array([[-out, out], [back, -back]])
    silent = silent_along(problem.chance[list(plan.posts)], plan.visits, BOUTS)
    for target in range(3):
        total = 0.0
        for carries in product((0, 1), repeat=3):
            state, weight, clock = np.array([0.64, 0.36]), 1.0, plan.visits[0].begin_s
            for visit, on in zip(plan.visits, carries, strict=True):
                hour = visit.factor / float(BOUTS.heard_chance(visit.dwell_s / 60))
                carried = problem.chance[[visit.post]].todense()[0, target] * hour
                weight *= carried if on else 1 - carried
                state = state @ expm(generator * (visit.begin_s - clock) / 60)
                state = state @ expm((generator - np.diag([0.2578 * on, 0.0])) * visit.dwell_s / 60)
                clock = visit.leave_s
            total += weight * state.sum()
        assert silent[-1, target] == pytest.approx(total, rel=1e-10)


@given(
    st.floats(0.02, 2.0), st.floats(1.0, 200.0), st.floats(0.02, 1.0),
    st.lists(st.tuples(st.floats(0.0, 90.0), st.floats(0.5, 30.0), st.floats(0.0, 1.0)), min_size=2, max_size=5),
)  # fmt: skip
def test_stands_never_hear_more_together_than_apart(
    rate: float, bout_min: float, share: float, stands: list[tuple[float, float, float]]
) -> None:
    bouts, clock, times = Bouts(rate, bout_min, share), 0.0, []
    for gap, length, _ in stands:
        times.append((clock + gap, clock + gap + length))
        clock += gap + length
    carried = np.array([[one] for _, _, one in stands])
    together = bouts.silent_after(times, carried)[-1, 0]
    apart = np.prod([1 - one * float(bouts.heard_chance(length)) for _, length, one in stands])
    assert together >= apart - 1e-9


def test_a_second_pass_later_is_worth_more_than_one_at_once() -> None:
    def heard(gap_s: float) -> float:
        alone = float(BOUTS.heard_chance(8.0))
        visits = [Visit(1, t, t, t + 480.0, 0, 480.0, alone, 0.0) for t in (0.0, 480.0 + gap_s)]
        return 1 - silent_along(csr_array(np.array([[0.9], [0.9]])), visits, BOUTS)[-1, 0]

    found = [heard(60 * gap) for gap in (5, 40, 90)]
    assert found == sorted(found)
    assert found[1] > found[0] + 0.04


def test_nothing_is_heard_without_a_visit() -> None:
    problem = a_morning(marginal(BOUTS))
    assert gains_in_bouts(problem, (), BOUTS).tolist() == []
    assert worth_in_bouts(problem, Plan((), 0.0, 0.0, 0.0, 0.0), BOUTS) == 0
