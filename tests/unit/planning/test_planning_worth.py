from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.planning.model.problem import Problem, orienteering_problem
from hushwalk.planning.model.worth import leave_late, missed_by, plan_of, route_of, without_idle_end


def pair() -> Problem:
    return Problem(
        travel_s=np.array([[0, 300, 600], [300, 0, 300], [600, 300, 0.0]]),
        chance=csr_array([[0, 0, 0], [0.8, 0.5, 0], [0, 0.5, 0.4]]),
        weights=np.array([10.0, 20.0, 30.0]),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=3600.0,
        budget_s=3600.0,
        dwell_s=(300.0, 600.0),
        clock_s=np.array([0.0, 3600.0]),
        availability=np.array([[0.0, 1.0], [0.5, 1.0]]),
    )


def test_worth_gains_and_clock_by_hand() -> None:
    # leave at 0, wait 300 s at the first post: begins at 600 s, 5 min, factor 600/3600 = 1/6;
    # second post at 900 + 300 = 1200 s, 10 min, factor 0.5 + 0.5/3 = 2/3; back at 1800 + 600 = 2400 s
    plan = plan_of(pair(), np.array([[1, 2], [0, 1]]), np.array([0.0, 300.0, 0.0]))
    first = 10 * 0.8 / 6 + 20 * 0.5 / 6
    second = 20 * (1 - 0.5 / 6) * 0.5 * 2 / 3 + 30 * 0.4 * 2 / 3
    assert [v.begin_s for v in plan.visits] == [600.0, 1200.0]
    assert [v.gain for v in plan.visits] == pytest.approx([first, second])
    assert plan.worth == pytest.approx(first + second)
    assert (plan.back_s, plan.walk_s, plan.visits[0].wait_s) == (2400.0, 1200.0, 300.0)
    assert missed_by(pair(), plan) == pytest.approx([1 - 0.8 / 6, (1 - 0.5 / 6) * (1 - 1 / 3), 1 - 0.8 / 3])


def test_a_plan_goes_back_to_its_route() -> None:
    stops, waits = np.array([[2, 1], [1, 0]]), np.array([60.0, 0.0, 120.0])
    again = route_of(pair(), plan_of(pair(), stops, waits))
    assert np.array_equal(again[0], stops)
    assert again[1] == pytest.approx(waits)


def test_start_and_end_count_once_in_plain_orienteering() -> None:
    line = orienteering_problem([[0, 3, 9], [3, 0, 9], [9, 9, 0]], [4, 5, 7], 10.0)
    assert plan_of(line, np.array([[1], [0]]), np.zeros(2)).worth == 9.0


def test_stops_at_the_end_that_hear_nothing_are_left_out() -> None:
    over = replace(pair(), clock_s=np.array([0.0, 900.0, 901.0]), availability=np.array([[1.0, 1.0, 0], [1.0, 1.0, 0]]))
    stops, waits = np.array([[1, 2], [0, 0]]), np.zeros(3)
    late = np.array([0.0, 0.0, 600.0])
    assert without_idle_end(over, stops, waits)[0].tolist() == stops.tolist()  # the second begins at 900 s
    kept, rest = without_idle_end(over, stops, late)
    assert kept.tolist() == [[1], [0]]
    assert plan_of(over, kept, rest).worth == plan_of(over, stops, late).worth
    must = replace(over, must_visit=(2,))
    assert without_idle_end(must, stops, late)[0].tolist() == stops.tolist()
    silent = replace(over, availability=np.zeros((2, 3)))
    assert without_idle_end(silent, stops, late)[0].tolist() == [[1], [0]]
    detour = np.array([[0, 300, 600], [9000, 0, 300], [600, 300, 0.0]])  # straight home is longer than by way of 2
    assert without_idle_end(replace(over, travel_s=detour, budget_s=1e5, latest_s=1e5), stops, late)[0].shape == (2, 2)


def test_waiting_at_the_first_stop_is_done_before_leaving() -> None:
    early = plan_of(pair(), np.array([[1, 2], [0, 1]]), np.array([0.0, 300.0, 0.0]))
    late = leave_late(pair(), early)
    assert (late.depart_s, late.visits[0].wait_s) == (300.0, 0.0)
    assert late.visits[0].begin_s == early.visits[0].begin_s
    assert (late.worth, late.back_s) == pytest.approx((early.worth, early.back_s))
    assert leave_late(pair(), late) == late


def test_waiting_for_light_is_done_before_leaving() -> None:
    # nobody walks before 1200 s: who leaves at 0 arrives at 1200 + 300 s, and so does who leaves at 1200 s
    day = pair().travel_s[0]
    dark = np.where(day > 0, np.inf, 0.0)
    two = replace(pair(), travel_s=np.stack([dark, day]), period_starts_s=(1200.0,))
    plan = plan_of(two, np.array([[1], [0]]), np.zeros(2))
    assert (plan.depart_s, plan.visits[0].arrive_s) == (0.0, 1500.0)
    assert leave_late(two, plan).depart_s == 1200.0
    assert leave_late(two, plan).visits == plan.visits
