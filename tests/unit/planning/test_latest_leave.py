"""The latest moment to leave a stop with the rest of the walk still to make."""

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.analysis.latest_leave import latest_leaves, latest_leaves_dropping
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of


def row(latest_s: float = 7200.0, *, dark_until_s: float | None = None) -> Problem:
    """Posts 600 s apart in a row, each worth the same; in the dark a leg takes twice as long."""
    place = np.arange(4.0)
    day = 600 * np.abs(place[:, None] - place[None])
    return Problem(
        travel_s=day if dark_until_s is None else np.stack([2 * day, day]),
        chance=csr_array(np.vstack([np.zeros(3), np.eye(3)])),
        weights=np.ones(3),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=latest_s,
        budget_s=latest_s,
        dwell_s=(300.0,),
        period_starts_s=() if dark_until_s is None else (dark_until_s,),
    )


def planned(problem: Problem) -> Plan:
    return plan_of(problem, np.array([[1, 2, 3], [0, 0, 0]]), np.zeros(4))


def test_the_latest_leave_of_each_stop_by_hand() -> None:
    # home from post 3 takes 1800 s; before it 300 s there and 600 s to it, and so on
    problem = row()
    assert latest_leaves(problem, planned(problem)) == (7200 - 1800 - 900 - 900, 7200 - 1800 - 900, 7200 - 1800)


def test_leaving_at_the_latest_is_back_in_time_and_a_tick_later_is_not() -> None:
    problem = row(9000.0, dark_until_s=2000.0)
    plan = planned(problem)
    for k, leave_s in enumerate(latest_leaves(problem, plan)):
        for late_s, fits in ((0.0, True), (problem.step_s, False)):
            waits = np.zeros(4)
            waits[k + 1] = (
                leave_s + late_s - plan.visits[k].leave_s
            )  # stay on at stop k, as somebody does who closes in
            back_s = plan_of(problem, np.array([[1, 2, 3], [0, 0, 0]]), waits).back_s
            assert (back_s <= problem.latest_s) == fits


def test_leaving_stops_out_gives_time_in_the_order_given() -> None:
    problem = row()
    found = latest_leaves_dropping(problem, planned(problem), (3, 1, 2), 0)
    # without post 3: 300 s there and 1200 s to it and back are saved; without post 2 as well straight home, 600 s
    assert found == ((3, 3600.0 + 1500.0), (2, 6600.0))


def test_a_deadline_that_is_too_early_for_the_rest_leaves_no_moment() -> None:
    problem = row(1500.0)
    plan = plan_of(row(), np.array([[1, 2, 3], [0, 0, 0]]), np.zeros(4))
    assert latest_leaves(problem, plan)[0] == -np.inf
    assert latest_leaves(problem, plan, left_out=(2, 3))[0] == pytest.approx(900.0)
