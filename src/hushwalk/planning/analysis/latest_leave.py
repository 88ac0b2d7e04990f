"""The latest moment to leave a stop and still make the rest of a walk by a deadline, whole or with stops left out.

Going straight for the end is timetable.py's.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.planning.model.clock import arrival
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import Tables, tables_of

SMALLEST_S = 1.0  # definition: the step of the search where the clock has no ticks [s]


def latest_leaves(problem: Problem, plan: Plan, left_out: Sequence[int] = ()) -> tuple[float, ...]:
    """Give the latest clock to leave each stop and still make all later stops, nobody waiting, and be back in time.

    Parameters
    ----------
    problem : whose ``latest_s`` is the deadline, and whose clock reaches to it.
    plan : the walk; its stops last as planned, and begin when one gets there.
    left_out : posts that are not visited any more; the latest for them is to go on from there all the same.

    Returns
    -------
    tuple of float
        One a visit [s]; minus infinity where even leaving at the earliest is too late.

    Notes
    -----
    Worked out from the last stop backwards. Leaving later never means arriving earlier, so that each is found by
    halving.
    """
    tables = tables_of(problem)
    there, due_s = problem.end, problem.latest_s
    found = []
    for visit in reversed(plan.visits):
        leave_s = _latest(tables, visit.post, there, due_s)
        found.append(leave_s)
        if visit.post not in left_out:
            there, due_s = visit.post, leave_s - visit.dwell_s
    return tuple(reversed(found))


def latest_leaves_dropping(problem: Problem, plan: Plan, order: Sequence[int], k: int) -> tuple[tuple[int, float], ...]:
    """Give the latest clock to leave one stop as later stops are left out one after another.

    Parameters
    ----------
    problem, plan : as for :func:`latest_leaves`.
    order : posts in the order in which to leave them out.
    k : which visit is left, counted from 0.

    Returns
    -------
    tuple of (int, float)
        For each post of the order that comes after the stop: the post, and the latest clock once it and all before it
        are left out [s].
    """
    later = {visit.post for visit in plan.visits[k + 1 :]}
    found, gone = [], []
    for post in (one for one in order if one in later):
        gone.append(post)
        found.append((post, latest_leaves(problem, plan, gone)[k]))
    return tuple(found)


def _latest(tables: Tables, here: int, there: int, due_s: float) -> float:
    """Latest tick to leave one place and be at another when it is due; minus infinity if there is none."""
    step_s = tables.step if tables.step > 0 else SMALLEST_S
    if not np.isfinite(due_s):
        return -np.inf
    late = int(np.floor((due_s - tables.earliest) / step_s + 1e-6))
    early = -1
    while late > early:  # the latest that arrives in time lies in early .. late; -1 stands for none
        middle = (early + late + 1) // 2
        if arrival(tables, here, there, tables.earliest + middle * step_s) <= due_s + 1e-6:
            early = middle
        else:
            late = middle - 1
    return float(tables.earliest + early * step_s) if early >= 0 else -np.inf
