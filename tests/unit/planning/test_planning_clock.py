import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.model.clock import arrival
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import tables_of

HOUR_S = 3600.0


def two_periods(step_s: float) -> Problem:
    dark = np.array([[0.0, 1200.0], [1200.0, 0.0]])
    return Problem(
        travel_s=np.stack([dark, dark / 2]),
        chance=csr_array(np.zeros((2, 1))),
        weights=np.ones(1),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=2 * HOUR_S,
        budget_s=2 * HOUR_S,
        period_starts_s=(HOUR_S,),
        step_s=step_s,
    )


@pytest.mark.parametrize(
    ("leave", "by_hand"),
    [
        (0.0, 1200.0),  # all in the dark
        (HOUR_S, HOUR_S + 600),  # all in the light
        (HOUR_S - 600, HOUR_S + 300),  # half the way takes 600 s in the dark, the other half 300 s in the light
        (HOUR_S - 1200, HOUR_S),  # there just as it gets light
        (HOUR_S - 420, HOUR_S + 390),  # 35 % in the dark, 65 % of 600 s in the light
    ],
)
def test_a_leg_across_the_break_is_walked_at_both_paces(leave: float, by_hand: float) -> None:
    assert arrival(tables_of(two_periods(0.0)), 0, 1, leave) == pytest.approx(by_hand)
    rounded = arrival(tables_of(two_periods(60.0)), 0, 1, leave)
    assert rounded == pytest.approx(np.ceil(by_hand / 60 - 1e-9) * 60)


def test_who_leaves_first_arrives_first() -> None:
    for step_s in (0.0, 60.0):
        tables = tables_of(two_periods(step_s))
        times = [arrival(tables, 0, 1, t) for t in np.arange(0, 2 * HOUR_S - 1, 60.0)]
        assert np.all(np.diff(times) >= 0)
