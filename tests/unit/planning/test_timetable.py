import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.analysis.timetable import drop_order, slack, what_if_late, what_if_slower
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import plan_of


def row() -> Problem:
    """Posts 600 s apart in a row; post 2 is worth least, post 3 most."""
    place = np.arange(4.0)
    return Problem(
        travel_s=600 * np.abs(place[:, None] - place[None]),
        chance=csr_array(np.vstack([np.zeros(3), np.eye(3)])),
        weights=np.array([5.0, 1.0, 20.0]),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=5400.0,
        budget_s=5400.0,
        dwell_s=(300.0,),
    )


PLAN = plan_of(row(), np.array([[1, 2, 3], [0, 0, 0]]), np.zeros(4))


def test_leeway_by_hand() -> None:
    # back at 3 * 900 + 1800 = 4500 s: 900 s to spare; from post 1 one must turn at 5400 - 600
    found = slack(row(), PLAN)
    assert [x.slack_s for x in found] == [900.0, 900.0, 900.0]
    assert [x.latest_leave_s for x in found] == [4800.0, 4200.0, 3600.0]
    assert [x.back_s for x in found] == [600.0, 1200.0, 1800.0]


def test_a_slower_walker_still_fits_and_a_late_one_drops_the_least_stop() -> None:
    slower = what_if_slower(row(), PLAN, 1.2)  # 3600 * 1.2 + 900 = 5220 s
    assert slower.dropped == ()
    assert slower.plan.back_s == pytest.approx(5220.0)
    late = what_if_late(row(), PLAN, 1200.0)  # 1200 + 4500 = 5700 s: one stop of 300 s must go
    assert late.dropped == (2,)
    assert late.lost == pytest.approx(1 / 26)
    assert late.plan.back_s == 5400.0


def test_the_stop_worth_least_for_its_time_goes_first() -> None:
    # post 1 and 2 free 300 s each (5 and 1), post 3 frees 300 + 1200 s (20 / 1500 lies below 5 / 300)
    assert drop_order(row(), PLAN)[0] == 2
    assert set(drop_order(row(), PLAN)) == {1, 2, 3}
