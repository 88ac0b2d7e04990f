"""The bound of plain orienteering."""

import numpy as np

from hushwalk.planning.model.problem import orienteering_problem
from hushwalk.planning.solve import SolveParams, solve

PROVE = SolveParams(search_s=None, iterations=100, starts=3, proof_s=None)


def test_cuts_prove_a_square() -> None:
    """Corners of a square of side 1 and its middle, from one corner: a budget of 4 goes round."""
    xy = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0.5, 0.5]])
    away = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    result = solve(orienteering_problem(away, [0, 3, 3, 3, 2], 4.0), PROVE, np.random.default_rng(1))
    assert result.plan.worth == 9.0
    assert result.certificate is not None
    assert result.certificate.bound >= 9.0


def test_bound_holds_where_times_differ_both_ways() -> None:
    rng = np.random.default_rng(5)
    for _ in range(20):
        times = rng.uniform(1, 5, (7, 7))
        np.fill_diagonal(times, 0)
        result = solve(orienteering_problem(times, rng.integers(1, 9, 7), 9.0, 0, 6), PROVE, rng)
        assert result.certificate is not None
        assert result.certificate.bound >= result.plan.worth - 1e-9
