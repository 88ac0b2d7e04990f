"""A problem whose clock has no ticks, on a clock of ticks with all times rounded down: whatever bounds it bounds both.

The bound of a problem with ticks is branch_and_bound.py's.
"""

import numpy as np

from hushwalk.planning.model.clock import TIME_TOLERANCE
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import NO_LIMIT, NO_WAY, TICK_TOLERANCE, Tables, leg_times
from hushwalk.types import FloatArray

TICKS = 480  # judgement: a walk of ten legs then loses about 1 % of its time to rounding
MOST_TICKS = 2000  # judgement: labels of more ticks take longer than anybody waits


def rounded_down(problem: Problem, tables: Tables) -> Tables | None:
    """Lay the problem out with legs, stops and limits in whole ticks, rounded so that every walk stays a walk.

    Parameters
    ----------
    problem : whose ``step_s`` is 0, so that worth does not change with the time of day.
    tables : of that problem.

    Returns
    -------
    Tables or None
        None where a tick short enough for every stop would make too many of them.

    Notes
    -----
    A walk that is at a place at time t is there at tick floor(t / step) at the latest: who leaves sooner arrives no
    later, for legs are walked at the pace of each period they meet. A walk that leaves within a tick may use the budget
    and the rest of that tick. The limit on time on foot is left out: a leg that is begun sooner may take longer.
    """
    window = min(tables.latest - tables.earliest, tables.budget if tables.breaks.size == 0 else np.inf)
    shortest = tables.dwell.min()
    if shortest <= 0:
        apart = ~np.eye(len(tables.usable), dtype=bool)
        shortest = float(tables.least[apart & tables.usable[:, None] & tables.usable[None, :]].min(initial=window))
    if shortest <= 0 or window <= 0:
        return None
    step = float(shortest / np.ceil(shortest * TICKS / window)) * (1 - TICK_TOLERANCE**2)  # whole after division
    if window / step > MOST_TICKS:
        return None

    def down(times: FloatArray) -> FloatArray:
        return np.floor(np.minimum(times / step, NO_WAY))

    def most(limit: float) -> int:
        return int((limit + 2 * TIME_TOLERANCE * (1 + tables.budget)) / step + TICK_TOLERANCE)

    ticks = most(window)
    clock = tables.earliest + step * np.arange(ticks + 1)
    changing = int(np.sum(clock < tables.breaks[-1])) if tables.breaks.size else 0
    legs = np.array([leg_times(problem.travel_s, tables.breaks, float(t)) for t in clock[: changing + 1]])
    at_once = tables.breaks.size == 0 or tables.budget >= tables.latest - tables.earliest
    return tables._replace(
        dwell=step * down(tables.dwell),
        leg=down(legs).astype(np.int16),
        slot=np.minimum(np.arange(len(clock)), changing),
        step=step,
        latest=tables.earliest + step * ticks,
        budget=step * (ticks if at_once else most(tables.budget) + 1),
        max_walk=NO_LIMIT,
    )
