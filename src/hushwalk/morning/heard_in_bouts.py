"""Males heard along a walk, each male followed through his bouts and pauses from stand to stand.

The search counts stands as if they did not depend on each other, which is never less (docs/science/bound.md).
"""

from collections.abc import Sequence

import numpy as np
from scipy.sparse import csr_array

from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import passing_worth
from hushwalk.science.bouts import Bouts
from hushwalk.types import FloatArray


def silent_along(chance: csr_array, visits: Sequence[Visit], bouts: Bouts) -> FloatArray:
    """Chance that each target is unheard so far, before the first visit and after each.

    Parameters
    ----------
    chance : shape (k, m), chance that visit k hears one display from target c.
    visits : in walking order, without overlap in time.
    bouts : of the species.

    Returns
    -------
    ndarray
        Shape (k + 1, m).

    Notes
    -----
    Whether a stand hears a target at all, by path and hour, is drawn once a stand: chance x factor / B(dwell), with B
    that of the bouts, so that each stand alone hears as much as the problem says.
    """
    alone = bouts.heard_chance([visit.dwell_s / 60 for visit in visits])
    hour = np.array([visit.factor for visit in visits]) / np.maximum(alone, np.finfo(float).tiny)
    carried = np.asarray(chance.todense()) * np.minimum(hour, 1.0)[:, np.newaxis]
    return bouts.silent_after([(visit.begin_s / 60, visit.leave_s / 60) for visit in visits], carried)


def gains_in_bouts(problem: Problem, visits: Sequence[Visit], bouts: Bouts) -> FloatArray:
    """Worth that each visit of a walk adds to those before it, shape (k,).

    Parameters
    ----------
    problem : that the visits belong to.
    visits : in walking order.
    bouts : of the species.

    Returns
    -------
    ndarray
        In the unit of the worth; their sum is never above what the problem counts.
    """
    if not visits:
        return np.zeros(0)
    silent = silent_along(problem.chance[[visit.post for visit in visits]], visits, bouts)
    gains: FloatArray = -np.diff(silent, axis=0) @ (problem.mass - passing_worth(problem))
    return gains


def worth_in_bouts(problem: Problem, plan: Plan, bouts: Bouts) -> float:
    """Worth of a plan with each male followed through his bouts and pauses."""
    return plan.passing + float(gains_in_bouts(problem, plan.visits, bouts).sum())
