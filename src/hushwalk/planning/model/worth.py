"""The exact worth of a route, what one more stop adds, and the plan as a person reads it.

How routes are found is repair.py's and large_neighbourhood.py's.
"""

import numpy as np
from numba import njit

from hushwalk.planning.model.clock import TIME_TOLERANCE, arrival, excess, factor_at, run_clock
from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.tables import Tables, passing_worth, tables_of
from hushwalk.types import FloatArray, IntArray

LEAVE_STEP_S = 60.0  # definition: whole minutes, where the clock has no ticks [s]


@njit(cache=True)
def add_stop(tables: Tables, post: int, factor: float, missed: FloatArray) -> float:
    """Gain of a stop on top of what ``missed`` says is left; ``missed`` is brought up to date.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    post : index of the post.
    factor : of every chance, 0..1.
    missed : shape (m,), chance that each target is missed so far, 0..1.

    Returns
    -------
    float
        In the unit of the worth.
    """
    gain = 0.0
    for e in range(tables.row_start[post], tables.row_start[post + 1]):
        caught = missed[tables.target[e]] * tables.chance[e] * factor
        gain += tables.mass[tables.target[e]] * caught
        missed[tables.target[e]] -= caught
    return gain


@njit(cache=True)
def reset_missed(tables: Tables, stops: IntArray, count: int, missed: FloatArray) -> None:
    """Set ``missed`` back to 1 wherever these stops can catch anything.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    count : stops of the route.
    missed : shape (m,), chance that each target is missed so far, 0..1.
    """
    for k in range(count):
        for e in range(tables.row_start[stops[0, k]], tables.row_start[stops[0, k] + 1]):
            missed[tables.target[e]] = 1.0


@njit(cache=True)
def route_worth(tables: Tables, stops: IntArray, begin: FloatArray, count: int, missed: FloatArray) -> float:
    """Worth of a timed route; ``missed`` (all ones before) is left as the route leaves it.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    begin : shape (k,), clock when each stop begins [s].
    count : stops of the route.
    missed : shape (m,), chance that each target is missed so far, 0..1.

    Returns
    -------
    float
        In the unit of the worth.
    """
    worth = 0.0
    for k in range(count):
        worth += add_stop(tables, stops[0, k], factor_at(tables, stops[0, k], stops[1, k], begin[k]), missed)
    return worth


@njit(cache=True)
def evaluate_route(
    tables: Tables, stops: IntArray, waits: FloatArray, count: int, begin: FloatArray, missed: FloatArray
) -> tuple[float, float]:
    """Worth of a route and the clock on being back; worth is -1 where a limit is broken.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].
    count : stops of the route.
    begin : shape (k,), clock when each stop begins [s].
    missed : shape (m,), chance that each target is missed so far, 0..1.

    Returns
    -------
    tuple of float
        Worth, -1 where a limit is broken, and clock on being back [s].
    """
    back, walk, length = run_clock(tables, stops, waits, count, begin)
    if excess(tables, waits, count, back, walk, length) > 0:
        return -1.0, back
    worth = route_worth(tables, stops, begin, count, missed)
    reset_missed(tables, stops, count, missed)
    return worth, back


def plan_of(problem: Problem, stops: IntArray, waits: FloatArray) -> Plan:
    """Give a route as a plan, with every time and gain.

    Parameters
    ----------
    problem : the problem the route belongs to.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].

    Returns
    -------
    Plan
        With every time and gain.
    """
    tables, missed, visits = tables_of(problem), np.ones(problem.targets), []
    depart = clock = problem.earliest_s + float(waits[0])
    here, walk = problem.start, 0.0
    for post, dwell, wait in zip(stops[0].tolist(), stops[1].tolist(), waits[1:].tolist(), strict=True):
        arrive = float(arrival(tables, here, post, clock))
        walk += arrive - clock
        factor = float(factor_at(tables, post, dwell, arrive + wait))
        gain = float(add_stop(tables, post, factor, missed))
        length = problem.dwell_s[dwell]
        clock = arrive + wait + length
        visits.append(Visit(post, arrive, arrive + wait, clock, dwell, length, factor, gain))
        here = post
    back = float(arrival(tables, here, problem.end, clock))
    passing = float(passing_worth(problem).sum())
    worth = passing + sum(v.gain for v in visits)
    return Plan(tuple(visits), depart, back, worth, walk + back - clock, passing)


def leave_late(problem: Problem, plan: Plan) -> Plan:
    """Leave as late as the first stop of a plan allows; the stops stay as they are, and so does what they are worth.

    Notes
    -----
    Where a leg waits for light, or the first stop for a better hour, the waiting is done before one leaves. Arrival
    never falls with leaving, so the last tick that still arrives in time is found by going from tick to tick.
    """
    if not plan.visits:
        return plan
    tables, first = tables_of(problem), plan.visits[0]
    tick_s, leave_s = problem.step_s or LEAVE_STEP_S, plan.depart_s
    in_time_s = first.begin_s + TIME_TOLERANCE * (1 + abs(first.begin_s))
    while arrival(tables, problem.start, first.post, leave_s + tick_s) <= in_time_s:
        leave_s += tick_s
    stops, waits = route_of(problem, plan)
    waits[0] = leave_s - problem.earliest_s
    waits[1] = max(0.0, first.begin_s - arrival(tables, problem.start, first.post, leave_s))
    return plan_of(problem, stops, waits)


def without_idle_end(problem: Problem, stops: IntArray, waits: FloatArray) -> tuple[IntArray, FloatArray]:
    """Leave out the last stops of a route where nothing more can be heard, as when the displays are over by then.

    Parameters
    ----------
    problem, stops, waits : as for :func:`plan_of`.

    Returns
    -------
    tuple
        Stops and waits of a route that is worth the same and is back no later; one stop is always kept, and so is all
        before a post that must be visited.
    """
    whole = plan_of(problem, stops, waits)
    kept = len(whole.visits)
    while kept > 1 and whole.visits[kept - 1].gain <= 0 and whole.visits[kept - 1].post not in problem.must_visit:
        kept -= 1
    shorter = stops[:, :kept], waits[: kept + 1]
    return shorter if plan_of(problem, *shorter).back_s <= whole.back_s else (stops, waits)


def route_of(problem: Problem, plan: Plan) -> tuple[IntArray, FloatArray]:
    """Give a plan back as the arrays of :func:`plan_of`."""
    stops = np.array([[v.post for v in plan.visits], [v.dwell for v in plan.visits]], np.int64)
    waits = np.array([plan.depart_s - problem.earliest_s, *(v.wait_s for v in plan.visits)])
    return stops, waits


def missed_by(problem: Problem, plan: Plan) -> FloatArray:
    """Chance that the plan misses each target, shape (m,); what start and end catch is in it."""
    mass = problem.mass
    rest = np.divide(mass - passing_worth(problem), mass, out=np.ones_like(mass), where=mass > 0)
    missed = np.ones(problem.targets)
    tables = tables_of(problem)
    for visit in plan.visits:
        add_stop(tables, visit.post, visit.factor, missed)
    return np.asarray(missed * rest)
