import numpy as np
from scipy.sparse import csr_array

from hushwalk.planning.analysis.rest_of_walk import rest_of
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.solve import SolveParams, solve

RUN = SolveParams(search_s=None, iterations=60, starts=3)


def star(**changes: object) -> Problem:
    """Four posts 600 s from the start and 1200 s from one another: an hour reaches two of them."""
    travel = 1200.0 * (1 - np.eye(5))
    travel[0], travel[:, 0] = 600.0, 600.0
    fields = {
        "travel_s": travel,
        "chance": csr_array(np.vstack([np.zeros(4), 0.5 * np.eye(4)])),
        "weights": np.array([8.0, 7.0, 6.0, 1.0]),
        "start": 0,
        "end": 0,
        "earliest_s": 0.0,
        "latest_s": 3600.0,
        "budget_s": 3600.0,
        "dwell_s": (300.0,),
        "max_stops": 4,
    }
    return Problem(**(fields | changes))


def test_the_rest_of_a_walk_starts_where_one_stands_and_late() -> None:
    plan = solve(star(), RUN, np.random.default_rng(1)).plan
    made = plan.visits[:1]
    rest = rest_of(star(), made, made[0].leave_s + 600.0, made[0].post)
    assert rest.start == made[0].post
    assert rest.max_stops == 3
    again = solve(rest, RUN, np.random.default_rng(1)).plan
    assert made[0].post not in again.posts
    assert again.depart_s >= made[0].leave_s + 600.0
    assert again.back_s <= 3600.0
