"""Makes the compiled code of the planning room ready, so that no limit in seconds is spent on compiling.

On a machine that has planned before this only loads what is kept.
"""

import numpy as np
from scipy.sparse import csr_array, eye_array

from hushwalk.planning.bound.backward_labels import Prices
from hushwalk.planning.bound.domain import full_domain
from hushwalk.planning.bound.node import bound_node, no_tangent
from hushwalk.planning.bound.relaxation import relaxation_of
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.solve import SolveParams, solve

POSTS = 6  # judgement: enough that every step of search and proof is taken, and done in a blink
STEPS = 200  # judgement: likewise; a test holds that a morning compiles nothing after it
MINUTE_S = 60.0  # definition


def warm_up(*, proof: bool = True) -> None:
    """Solve and prove a small morning of no meaning.

    Parameters
    ----------
    proof : whether a proof is wanted too, the larger half of the compiling.

    Notes
    -----
    Whatever a real morning calls is called here once, with numbers of the same kinds.
    """
    params = SolveParams(search_s=None, iterations=STEPS, proof_s=None if proof else 0.0, proof_nodes=2)
    solve(small_morning(), params, np.random.default_rng(0))


def warm_up_bound() -> None:
    """Bound the same morning and no more, the larger half of the compiling, so that two processes may share it."""
    tables = tables_of(small_morning())
    relaxation, free, none = relaxation_of(tables), Prices(0.0, 0.0, 0.0, 0.0), np.zeros(0, np.int64)
    bound_node(tables, relaxation, none, no_tangent(tables), free, 1, 0.0, full_domain(tables, relaxation), none, 0)


def small_morning() -> Problem:
    """Lay out a morning with light and dark, a changing hour and overlapping posts."""
    away = np.abs(np.subtract.outer(np.arange(POSTS), np.arange(POSTS))) * 5 * MINUTE_S
    heard = 0.6 * eye_array(POSTS, format="csr") + 0.3 * eye_array(POSTS, k=1, format="csr")
    return Problem(
        travel_s=np.stack([away * 1.5, away]),
        chance=csr_array(heard),
        weights=np.ones(POSTS),
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=60 * MINUTE_S,
        budget_s=60 * MINUTE_S,
        dwell_s=(3 * MINUTE_S, 5 * MINUTE_S),
        clock_s=np.array([0.0, 60 * MINUTE_S]),
        availability=np.array([[0.2, 0.6], [0.3, 0.8]]),
        period_starts_s=(20 * MINUTE_S,),
        conflicts=np.array([[1, 2]]),
        max_stops=3,
    )
